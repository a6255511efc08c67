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

// measureJob is a parsed measure command.
type measureJob struct {
	streams
	request
	summary string
	reply   bool
	full    bool
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
	job.registerQuery(f)
	f.StringVar(&job.format, "format", formatText, flagFormat)
	job.registerPlot(f)
	f.StringVar(&job.outPath, "out", "", flagOut)
	f.StringVar(&job.summary, "summary", "", flagSummary)
	f.BoolVar(&job.full, "full", false, flagFull)
	f.BoolVar(&job.reply, "reply", false, flagReply)
	job.book.register(f, true)
	return c
}

// check refuses flags that contradict each other before anything is measured.
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
	files := []outputFile{{"--plot", j.plot}, {"--summary", j.summary}}
	if !j.toFolder() {
		files = append(files, outputFile{"--out", j.outPath})
	}
	return j.checkRequest("measure", files)
}

// run measures the clips that were named, on all cores, and outputs the results in
// the order of the names. A clip that cannot be measured does not stop the others.
// Files are written whole or not at all, also when it is interrupted.
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
	err = inOrder(ctx, j.clips, func(name string) clipResult {
		defer bar.step()
		return j.measureClip(name, to.style)
	}, func(i int, f clipResult) error {
		bar.hide()
		defer bar.show()
		outcomes = append(outcomes, f.outcome)
		result = result.worse(f.status)
		if f.err != nil {
			fmt.Fprintln(j.err, errorLine(j.clips[i], f.err))
			return nil
		}
		result = result.worse(j.book.store(j.err, j.clips[i], f.whole))
		return j.output(to, j.clips[i], f)
	})
	bar.end()
	if err != nil {
		return result.worse(failed), err
	}
	return result, j.summarise(to, outcomes)
}

// clipResult is the result of one clip, in every form that is wanted.
type clipResult struct {
	outcome report.Outcome
	status  status
	form    []byte         // the result in the wanted form
	plot    []byte         // the picture, where one is wanted
	whole   *report.Report // for the book, where it goes there
	err     error
}

// measureClip measures one clip and renders the result.
func (j *measureJob) measureClip(name string, style report.TextStyle) clipResult {
	m, err := j.measure(name, j.in)
	if err != nil {
		return notMeasured(name, err)
	}
	defer m.Close()
	f := clipResult{status: statusOfVerdict(m.Report.Verdict.Code)}
	if f.form, err = rendered(func(w io.Writer) error { return j.write(w, m, style) }); err != nil {
		return notMeasured(name, err)
	}
	if j.plot != "" {
		draw := func(w io.Writer) error { return m.Draw(w, plotFormat(j.plot), j.size) }
		if f.plot, err = rendered(draw); err != nil {
			return notMeasured(name, err)
		}
	}
	f.whole = j.book.forBook(m.Report)
	r := m.Report
	r.Track = nil // not used again, and large for many clips
	f.outcome = report.Outcome{File: name, Report: &r}
	return f
}

func notMeasured(name string, err error) clipResult {
	return clipResult{status: failed, err: err, outcome: report.Outcome{File: name, Problem: sentence(err)}}
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
		style.Short = !j.full
		return report.WriteText(w, m.Report, style)
	}
}

// output writes the result of one clip to its destination.
func (j *measureJob) output(to *destination, clip string, f clipResult) error {
	if err := to.put(clip, f.form); err != nil {
		return err
	}
	if j.plot == "" {
		return nil
	}
	return writeFile(j.plot, writerOf(f.plot))
}

// summarise writes the summary and the table of all clips.
func (j *measureJob) summarise(to *destination, outcomes []report.Outcome) error {
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

// destination opens the destination that the flags name.
func (j *measureJob) destination() (*destination, error) {
	text := j.format == formatText
	to := &destination{print: j.out, style: textStyle(j.out), blankLines: text, named: text && j.several}
	switch {
	case j.toFolder():
		to.folder, to.ending = j.outPath, endings[j.format]
		to.names = newResultNames(j.clips)
		to.style.Colour = false
		if err := os.MkdirAll(j.outPath, 0o777); err != nil { // less the umask
			return nil, saysCannotWrite(j.outPath, withoutPath(err))
		}
	case j.outPath != "":
		to.file = j.outPath
		to.style = report.TextStyle{Columns: report.DefaultColumns}
	}
	return to, nil
}
