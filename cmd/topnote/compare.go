package main

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
)

// compareJob is a parsed compare command.
type compareJob struct {
	streams
	request
	full bool
}

// newCompare builds "topnote compare".
func newCompare(s streams, result *status) *cobra.Command {
	job := compareJob{streams: s, request: newRequest()}
	c := &cobra.Command{
		Use:     "compare CLIP CLIP...",
		Short:   compareShort,
		Long:    compareLong,
		Example: compareExample,
		RunE: func(c *cobra.Command, args []string) error {
			var err error
			*result, err = job.run(c.Context(), args)
			return err
		},
	}
	f := c.Flags()
	f.SortFlags = false
	job.registerQuery(f)
	f.StringVar(&job.format, "format", formatText, flagForms)
	f.BoolVar(&job.full, "full", false, flagFullComparison)
	job.registerPlot(f)
	f.StringVar(&job.outPath, "out", "", flagOutFile)
	return c
}

// check refuses flags that contradict each other before anything is measured.
func (j *compareJob) check() error {
	forms := []string{formatText, formatJSON, formatHTML}
	if !slices.Contains(forms, j.format) {
		return refuseFormat(j.format, forms)
	}
	if n := len(j.clips); n < 2 || n > report.MaxPasses {
		return refuseTooFew(n)
	}
	return j.checkRequest("compare", []outputFile{{"--plot", j.plot}, {"--out", j.outPath}})
}

// run measures the passes and compares them. All of them must be readable: without
// one, the others would change their places.
func (j *compareJob) run(ctx context.Context, args []string) (status, error) {
	if result := j.expand(args, j.err); result != measured {
		return result, nil
	}
	if err := j.check(); err != nil {
		return measured, err
	}
	passes, result, err := j.passes(ctx)
	defer func() {
		for _, m := range passes {
			m.Close()
		}
	}()
	if err != nil || len(passes) < len(j.clips) {
		return result.worse(failed), err
	}
	c, err := measure.Compare(passes)
	if err != nil {
		return failed, err
	}
	form, err := rendered(func(w io.Writer) error { return j.write(w, c) })
	if err != nil {
		return failed, err
	}
	if j.plot != "" {
		if j.plotSize == "" {
			j.size = picture.ComparisonSize(len(passes))
		}
		if err := writeFile(j.plot, func(w io.Writer) error { return c.Draw(w, plotFormat(j.plot), j.size) }); err != nil {
			return result.worse(failed), err
		}
	}
	if j.outPath != "" {
		return result, writeFile(j.outPath, writerOf(form))
	}
	if _, err := j.out.Write(form); err != nil {
		return result, saysCannotPrint(withoutPath(err))
	}
	return result, nil
}

// passes measures the clips; those that cannot be read are named and left out.
func (j *compareJob) passes(ctx context.Context) ([]measure.Measurement, status, error) {
	type found struct {
		m   measure.Measurement
		err error
	}
	var passes []measure.Measurement
	result := measured
	bar := newProgress(j.err, len(j.clips))
	err := inOrder(ctx, j.clips, func(name string) found {
		defer bar.step()
		m, err := j.measure(name, j.in)
		return found{m, err}
	}, func(i int, f found) error {
		bar.hide()
		defer bar.show()
		if f.err != nil {
			fmt.Fprintln(j.err, errorLine(j.clips[i], f.err))
			result = result.worse(failed)
			return nil
		}
		result = result.worse(statusOfVerdict(f.m.Report.Verdict.Code))
		passes = append(passes, f.m)
		return nil
	})
	bar.end()
	return passes, result, err
}

// write writes the comparison in the wanted form.
func (j *compareJob) write(w io.Writer, c measure.Comparison) error {
	switch j.format {
	case formatJSON:
		return report.WriteComparisonJSON(w, c.Report)
	case formatHTML:
		return c.WriteHTML(w)
	default:
		style := report.TextStyle{Columns: report.DefaultColumns}
		if j.outPath == "" {
			style = textStyle(j.out)
		}
		style.Short = !j.full
		return report.WriteComparisonText(w, c.Report, style)
	}
}
