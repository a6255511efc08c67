package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/spf13/cobra"

	"topnote/internal/measure"
	"topnote/internal/report"
)

// measureJob is a measure command as it was typed.
type measureJob struct {
	streams
	request
	summary string
	reply   bool
	book    measureBook
}

// newMeasure builds "topnote measure".
func newMeasure(s streams, result *status) *cobra.Command {
	job := measureJob{streams: s, request: newRequest()}
	c := &cobra.Command{
		Use:     "measure CLIP...",
		Short:   measureShort,
		Long:    measureLong,
		Example: measureExample,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return refuseNoClip()
			}
			if err := job.book.open(c.Flags(), &job.query); err != nil {
				return err
			}
			defer job.book.close()
			var err error
			*result, err = job.run(c.Context(), args)
			return err
		},
	}
	f := c.Flags()
	f.SortFlags = false
	job.addQuery(f)
	f.StringVar(&job.format, "format", formatText, flagFormat)
	job.addPlot(f)
	f.StringVar(&job.outPath, "out", "", flagOut)
	f.StringVar(&job.summary, "summary", "", flagSummary)
	f.BoolVar(&job.reply, "reply", false, flagReply)
	job.book.flags(f)
	return c
}

// check refuses what makes no sense before anything is measured.
func (j *measureJob) check() error {
	if !slices.Contains(formats(), j.format) {
		return refuseFormat(j.format, formats())
	}
	if j.reply && j.format != formatText {
		return refuseReply(j.format)
	}
	if j.several && !j.toFolder() {
		switch j.format {
		case formatCSV, formatHTML, formatVTT:
			return refuseManyIn(j.format)
		}
	}
	if j.several && j.plot != "" {
		return refuseManyPlots()
	}
	files := []named{{"--plot", j.plot}, {"--summary", j.summary}}
	if !j.toFolder() {
		files = append(files, named{"--out", j.outPath})
	}
	return j.checkRequest("measure", files)
}

// run measures the clips that were named, all cores at once, and gives out what
// was found in the order of the names. One that cannot be measured stops no
// other; nothing is written but whole files, also when it is interrupted.
func (j *measureJob) run(ctx context.Context, args []string) (status, error) {
	result := j.expand(args, j.err)
	if err := j.check(); err != nil {
		return result, err
	}
	if len(j.clips) == 0 {
		return result, nil
	}
	to, err := j.destination()
	if err != nil {
		return failed, err
	}
	outcomes := make([]report.Outcome, 0, len(j.clips))
	bar := newProgress(j.err, len(j.clips))
	err = inOrder(ctx, j.clips, func(name string) finding {
		defer bar.step()
		return j.find(name, to.style)
	}, func(i int, f finding) error {
		bar.hide()
		defer bar.show()
		outcomes = append(outcomes, f.outcome)
		result = result.worse(f.status)
		if f.err != nil {
			fmt.Fprintln(j.err, errorLine(j.clips[i], f.err))
			return nil
		}
		result = result.worse(j.book.store(j.err, j.clips[i], f.whole))
		return j.give(to, j.clips[i], f)
	})
	bar.hide()
	if err != nil {
		return result.worse(failed), err
	}
	return result, j.finish(to, outcomes)
}

// finding is what became of one clip.
type finding struct {
	outcome report.Outcome
	status  status
	form    []byte         // the result in the wanted form
	plot    []byte         // the picture, where one is wanted
	whole   *report.Report // for the book, where it goes there
	err     error
}

// find measures one clip and brings the result into its form.
func (j *measureJob) find(name string, style report.TextStyle) finding {
	m, err := j.measure(name, j.in)
	if err != nil {
		return notFound(name, err)
	}
	defer m.Close()
	f := finding{status: statusOfVerdict(m.Report.Verdict.Code)}
	if f.form, err = written(func(w io.Writer) error { return j.write(w, m, style) }); err != nil {
		return notFound(name, err)
	}
	if j.plot != "" {
		draw := func(w io.Writer) error { return m.Draw(w, plotFormat(j.plot), j.size) }
		if f.plot, err = written(draw); err != nil {
			return notFound(name, err)
		}
	}
	f.whole = j.book.wanted(m.Report)
	r := m.Report
	r.Track = nil // nobody looks at it again, and of many clips it is much
	f.outcome = report.Outcome{File: name, Report: &r}
	return f
}

func notFound(name string, err error) finding {
	return finding{status: failed, err: err, outcome: report.Outcome{File: name, Problem: sentence(err)}}
}

// write writes one measurement in the wanted form.
func (j *measureJob) write(w io.Writer, m measure.Measurement, style report.TextStyle) error {
	switch {
	case j.reply:
		_, err := io.WriteString(w, m.Reply)
		return err
	case j.format == formatJSON:
		return report.WriteJSON(w, m.Report)
	case j.format == formatCSV:
		return report.WriteCSV(w, m.Report)
	case j.format == formatVTT:
		return report.WriteVTT(w, m.Report)
	case j.format == formatHTML:
		return m.WriteHTML(w)
	default:
		return report.WriteText(w, m.Report, style)
	}
}

// give puts the result of one clip where it belongs.
func (j *measureJob) give(to *destination, clip string, f finding) error {
	if err := to.put(clip, f.form); err != nil {
		return err
	}
	if j.plot == "" {
		return nil
	}
	return writeFile(j.plot, bytesOf(f.plot))
}

// finish writes what is said of all clips together.
func (j *measureJob) finish(to *destination, outcomes []report.Outcome) error {
	if j.summary != "" {
		if err := writeFile(j.summary, func(w io.Writer) error { return report.WriteSummary(w, outcomes) }); err != nil {
			return err
		}
	}
	if to.folder != "" || j.several && j.format == formatText && !j.reply {
		if err := to.table(outcomes); err != nil {
			return err
		}
	}
	return to.close()
}

// destination opens the place that the results go to.
func (j *measureJob) destination() (*destination, error) {
	to := &destination{print: j.out, style: textStyle(j.out), parted: j.format == formatText}
	switch {
	case j.toFolder():
		to.folder, to.ending = j.outPath, endings[j.format]
		to.names = newNames(j.clips)
		to.style.Colour = false
		if err := os.MkdirAll(j.outPath, 0o777); err != nil { // the system takes away what the user does not give
			return nil, saysCannotWrite(j.outPath, cause(err))
		}
	case j.outPath != "":
		to.file = j.outPath
		to.style = report.TextStyle{Columns: report.DefaultColumns}
	}
	return to, nil
}
