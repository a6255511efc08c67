package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/shaft"
	"topnote/internal/unit"
)

// standardInput is how standard input is named among the recordings.
const standardInput = "-"

// measureJob is a measure command as it was typed.
type measureJob struct {
	streams
	clips    []string
	query    shaft.Query
	format   string
	plot     string
	plotSize string
	size     picture.Size
	out      string
	reply    bool
}

// newMeasure builds "topnote measure".
func newMeasure(s streams, result *status) *cobra.Command {
	job := measureJob{streams: s, query: shaft.Query{Engine: unit.TwoStrokeSingle}}
	c := &cobra.Command{
		Use:     "measure CLIP...",
		Short:   measureShort,
		Long:    measureLong,
		Example: measureExample,
		RunE: func(_ *cobra.Command, args []string) error {
			job.clips = args
			if err := job.check(); err != nil {
				return err
			}
			var err error
			*result, err = job.run()
			return err
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.Var(speedFlag{&job.query.Limits.Max}, "limit", flagLimit)
	f.Var(speedFlag{&job.query.Limits.Idle}, "idle", flagIdle)
	f.Var(speedFlag{&job.query.Limits.Clutch}, "clutch", flagClutch)
	f.IntVar(&job.query.Engine.Strokes, "strokes", job.query.Engine.Strokes, flagStrokes)
	f.IntVar(&job.query.Engine.Cylinders, "cylinders", job.query.Engine.Cylinders, flagCylinders)
	f.StringVar(&job.format, "format", "text", flagFormat)
	f.StringVar(&job.plot, "plot", "", flagPlot)
	f.StringVar(&job.plotSize, "plot-size", "18x13", flagPlotSize)
	f.StringVar(&job.out, "out", "", flagOut)
	f.BoolVar(&job.reply, "reply", false, flagReply)
	return c
}

// check refuses what makes no sense before anything is read.
func (j *measureJob) check() error {
	if len(j.clips) == 0 {
		return refuseNoClip()
	}
	inputs := 0
	for _, c := range j.clips {
		if c == standardInput {
			inputs++
		}
	}
	if inputs > 1 {
		return refuseTwoInputs()
	}
	if err := measure.Check(j.query); err != nil {
		return usageOf("measure", "", err)
	}
	if j.format != "text" && j.format != "json" && j.format != "csv" {
		return refuseFormat(j.format)
	}
	if j.reply && j.format != "text" {
		return refuseReply(j.format)
	}
	if len(j.clips) > 1 && j.format == "csv" {
		return refuseMany("--format csv")
	}
	return j.checkFiles()
}

// checkFiles refuses names of files to write that would do harm.
func (j *measureJob) checkFiles() error {
	if j.plot != "" {
		if len(j.clips) > 1 {
			return refuseMany("--plot")
		}
		if f := plotFormat(j.plot); f != picture.PNG && f != picture.SVG {
			return refusePlotName(j.plot)
		}
		var err error
		if j.size, err = parseSize(j.plotSize); err != nil {
			return err
		}
	}
	for _, c := range j.clips {
		if j.out != "" && c != standardInput && samePlace(j.out, c) {
			return refuseSameFile("--out", j.out)
		}
		if j.plot != "" && c != standardInput && samePlace(j.plot, c) {
			return refuseSameFile("--plot", j.plot)
		}
	}
	if j.out != "" && j.plot != "" && samePlace(j.out, j.plot) {
		return refuseSameFile("--plot", j.plot)
	}
	return nil
}

// plotFormat gives the kind of picture that a file's name ends in.
func plotFormat(path string) picture.Format {
	return picture.Format(strings.ToLower(strings.TrimPrefix(filepath.Ext(path), ".")))
}

// parseSize reads the size of a picture, such as 18x13.
func parseSize(text string) (picture.Size, error) {
	wide, high, _ := strings.Cut(text, "x")
	width, errW := strconv.ParseFloat(wide, 64)
	height, errH := strconv.ParseFloat(high, 64)
	size := picture.Size{WidthCM: width, HeightCM: height}
	if errW != nil || errH != nil || size.Check() != nil {
		return picture.Size{}, refusePlotSize(text)
	}
	return size, nil
}

// run measures the clips one after another. One that cannot be measured does
// not stop the others.
func (j *measureJob) run() (status, error) {
	if j.out == "" {
		return j.each(j.streams.out)
	}
	var kept bytes.Buffer
	result, err := j.each(&kept)
	if err != nil || kept.Len() == 0 {
		return result, err
	}
	return result, writeFile(j.out, func(w io.Writer) error {
		_, err := kept.WriteTo(w)
		return err
	})
}

// each measures every clip and writes what it found to out.
func (j *measureJob) each(out io.Writer) (status, error) {
	result := measured
	for i, name := range j.clips {
		m, err := j.measure(name)
		if err != nil {
			fmt.Fprintln(j.err, errorLine(name, err))
			result = result.worse(failed)
			continue
		}
		if i > 0 && j.format == "text" {
			fmt.Fprintln(out)
		}
		if err := j.write(out, m); err != nil {
			return failed, saysCannotPrint(cause(err))
		}
		if j.plot != "" {
			draw := func(w io.Writer) error { return m.Draw(w, plotFormat(j.plot), j.size) }
			if err := writeFile(j.plot, draw); err != nil {
				return failed, err
			}
		}
		result = result.worse(statusOfVerdict(m.Report.Verdict.Code))
	}
	return result, nil
}

func (j *measureJob) measure(name string) (measure.Measurement, error) {
	if name == standardInput {
		return measure.Stream(j.in, name, j.query)
	}
	return measure.File(name, j.query)
}

// write writes one measurement in the wanted form.
func (j *measureJob) write(out io.Writer, m measure.Measurement) error {
	switch {
	case j.reply:
		_, err := io.WriteString(out, m.Reply)
		return err
	case j.format == "json":
		return report.WriteJSON(out, m.Report)
	case j.format == "csv":
		return report.WriteCSV(out, m.Report)
	default:
		return report.WriteText(out, m.Report, textStyle(out))
	}
}
