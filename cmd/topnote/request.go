package main

import (
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/measure"
	"topnote/internal/picture"
)

// standardInput is how standard input is named among the recordings.
const standardInput = "-"

// The forms of a result.
const (
	formatText = "text"
	formatJSON = "json"
	formatCSV  = "csv"
	formatHTML = "html"
	formatVTT  = "vtt"
)

func formats() []string { return []string{formatText, formatJSON, formatCSV, formatHTML, formatVTT} }

// request holds what the commands that measure recordings have in common.
type request struct {
	clips    []string       // expanded
	several  bool           // more than one was named, or a folder or pattern
	query    engine.Machine // as entered: see engine.Machine.Entered
	format   string
	plot     string
	plotSize string
	size     picture.Size // where plotSize was given
	outPath  string
}

func newRequest() request {
	return request{query: engine.Machine{Spec: engine.TwoStrokeSingle}}
}

// registerQuery adds the flags that describe the engine.
func (r *request) registerQuery(f *pflag.FlagSet) {
	f.Var(speedFlag{&r.query.Limits.Max}, "limit", flagLimit)
	f.Var(speedFlag{&r.query.Limits.Idle}, "idle", flagIdle)
	f.Var(speedFlag{&r.query.Limits.Clutch}, "clutch", flagClutch)
	f.IntVar(&r.query.Spec.Strokes, "strokes", r.query.Spec.Strokes, flagStrokes)
	f.IntVar(&r.query.Spec.Cylinders, "cylinders", r.query.Spec.Cylinders, flagCylinders)
	for _, field := range engine.Fields {
		f.Var(fieldFlag{&r.query, field}, field.Name, flagField(field))
	}
}

// registerPlot adds the flags of the picture.
func (r *request) registerPlot(f *pflag.FlagSet) {
	f.StringVar(&r.plot, "plot", "", flagPlot)
	f.StringVar(&r.plotSize, "plot-size", "", flagPlotSize)
}

// outputFile is a file to write, with the flag that names it.
type outputFile struct{ flag, path string }

// checkRequest refuses an engine that cannot be measured, and output files that are
// inputs or name the same file twice.
func (r *request) checkRequest(command string, files []outputFile) error {
	if err := entry.Check(r.query.FromEntered()); err != nil {
		return usageErrorOf(command, "", err)
	}
	inputs := 0
	for _, c := range r.clips {
		if c == standardInput {
			inputs++
		}
	}
	if inputs > 1 {
		return refuseTwoInputs()
	}
	if err := r.checkPlot(); err != nil {
		return err
	}
	for i, f := range files {
		if f.path == "" {
			continue
		}
		for _, c := range r.clips {
			if c != standardInput && sameFile(f.path, c) {
				return refuseSameFile(f.flag, f.path)
			}
		}
		for _, other := range files[:i] {
			if other.path != "" && sameFile(f.path, other.path) {
				return refuseSameFile(f.flag, f.path)
			}
		}
	}
	return nil
}

func (r *request) checkPlot() error {
	switch {
	case r.plot == "" && r.plotSize != "":
		return refuseSizeAlone()
	case r.plot == "":
		return nil
	}
	if f := plotFormat(r.plot); f != picture.PNG && f != picture.SVG {
		return refusePlotName(r.plot)
	}
	if r.plotSize == "" {
		r.size = picture.DefaultSize
		return nil
	}
	var err error
	r.size, err = parseSize(r.plotSize)
	return err
}

// plotFormat gives the format of a picture by the extension of its file.
func plotFormat(path string) picture.Format {
	return picture.Format(strings.ToLower(strings.TrimPrefix(filepath.Ext(path), ".")))
}

// parseSize reads the size of a picture, such as 18x13 or 18x13cm.
func parseSize(text string) (picture.Size, error) {
	wide, high, _ := strings.Cut(strings.TrimSuffix(text, "cm"), "x")
	width, errW := strconv.ParseFloat(wide, 64)
	height, errH := strconv.ParseFloat(high, 64)
	size := picture.Size{WidthCM: width, HeightCM: height}
	if errW != nil || errH != nil || size.Check() != nil {
		return picture.Size{}, refusePlotSize(text)
	}
	return size, nil
}

// toFolder reports whether --out names a folder: one that exists, a name that ends
// in a separator, or, for several recordings, a name without an extension.
func (r *request) toFolder() bool {
	if r.outPath == "" {
		return false
	}
	if info, err := os.Stat(r.outPath); err == nil {
		return info.IsDir()
	}
	return os.IsPathSeparator(r.outPath[len(r.outPath)-1]) || r.several && filepath.Ext(r.outPath) == ""
}

// measure measures the recording of this name.
func (r *request) measure(name string, in io.Reader) (measure.Measurement, error) {
	makeRoom()
	if name == standardInput {
		return measure.Stream(in, name, r.query.FromEntered())
	}
	return measure.File(name, r.query.FromEntered())
}
