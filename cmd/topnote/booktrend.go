package main

import (
	"io"
	"strconv"

	"github.com/spf13/cobra"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/picture"
	"topnote/internal/web/books"
)

// trendJob is a parsed trend command.
type trendJob struct {
	*bookJob
	format, plot, plotSize string
	full                   bool
	size                   picture.Size
}

// newTrend builds "topnote book trend".
func newTrend(job *bookJob) *cobra.Command {
	j := &trendJob{bookJob: job}
	c := &cobra.Command{
		Use:   "trend MACHINE",
		Short: trendShort,
		Long:  trendLong,
		RunE: func(_ *cobra.Command, args []string) error {
			name, err := machineName(args)
			if err != nil {
				return err
			}
			if err := j.check(); err != nil {
				return err
			}
			return j.run(name)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().StringVar(&j.format, "format", "text", flagTextJSONCSV)
	c.Flags().BoolVar(&j.full, "full", false, flagFullTrend)
	c.Flags().StringVar(&j.plot, "plot", "", flagPlot)
	c.Flags().StringVar(&j.plotSize, "plot-size", "18x15", flagPlotSize)
	return c
}

func (j *trendJob) check() error {
	if err := checkFormat(j.format, "text", "json", "csv"); err != nil {
		return err
	}
	if j.plot == "" {
		return nil
	}
	if f := plotFormat(j.plot); f != picture.PNG && f != picture.SVG {
		return refusePlotName(j.plot)
	}
	var err error
	j.size, err = parseSize(j.plotSize)
	return err
}

func (j *trendJob) run(name string) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	m, err := b.Machine(name)
	if err != nil {
		return bookError(err)
	}
	passes, err := b.Passes(name)
	if err != nil {
		return bookError(err)
	}
	t := diagnose.NewTrend(m, passes, diagnose.Default())
	if err := j.print(func(w io.Writer) error { return j.write(w, t) }); err != nil {
		return err
	}
	if j.plot == "" {
		return nil
	}
	return writeFile(j.plot, func(w io.Writer) error {
		return picture.DrawTrend(w, plotFormat(j.plot), j.size, books.TrendPicture(t))
	})
}

func (j *trendJob) write(w io.Writer, t diagnose.Trend) error {
	switch j.format {
	case "json":
		return t.WriteJSON(w)
	case "csv":
		return t.WriteCSV(w)
	default:
		return t.WriteText(w, j.columns(), j.full)
	}
}

// newWhy builds "topnote book why".
func newWhy(job *bookJob) *cobra.Command {
	format, full := "text", false
	c := &cobra.Command{
		Use:   "why MACHINE | PASS [PASS]",
		Short: whyShort,
		Long:  whyLong,
		RunE: func(_ *cobra.Command, args []string) error {
			machine, numbers, err := whyArguments(args)
			if err != nil {
				return err
			}
			if err := checkFormat(format, "text", "json"); err != nil {
				return err
			}
			return job.why(machine, numbers, format, full)
		},
	}
	c.Flags().StringVar(&format, "format", format, flagTextJSON)
	c.Flags().BoolVar(&full, "full", false, flagFullWhy)
	return c
}

// whyArguments gives the machine, or the numbers of one or two of its passes.
func whyArguments(args []string) (machine string, numbers []int64, err error) {
	if len(args) == 1 {
		if _, err := strconv.ParseInt(args[0], 10, 64); err != nil {
			return args[0], nil, nil
		}
	}
	numbers, err = passNumbers(args, 2)
	return "", numbers, err
}

// why explains a pass of a machine by another: the last by the one before it where
// there are no numbers.
func (j *bookJob) why(machine string, numbers []int64, format string, full bool) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	var pair [2]book.Pass
	for i, n := range numbers {
		if pair[i], err = b.Pass(n); err != nil {
			return bookError(err)
		}
		machine = pair[0].Machine
		if pair[i].Machine != machine {
			return refuseOtherMachine(pair[0], pair[i])
		}
	}
	if _, err := b.Machine(machine); err != nil {
		return bookError(err)
	}
	passes, err := b.Passes(machine)
	if err != nil {
		return bookError(err)
	}
	e, err := diagnose.Why(passes, pair[0].Number, pair[1].Number, diagnose.Default())
	if err != nil {
		return bookError(err)
	}
	if format == "json" {
		return j.print(e.WriteJSON)
	}
	return j.print(func(w io.Writer) error { return e.WriteText(w, j.columns(), full) })
}
