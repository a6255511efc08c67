package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"topnote/internal/air"
)

const (
	airShort = "Work out the density of the air and what it did to the mixture"
	airLong  = `Work out how dense the air is and, with --since, how far the air alone has moved the
mixture since the day on which the screws were set.

Numbers without a unit are metric: C, %, m, hPa. Or write the unit after them: 88F,
2800ft, 29.92inHg. A temperature is needed, and a height or a pressure.`
	airExample = `  topnote air --temp 31 --rh 60 --altitude 850 --since "temp=8 rh=80 altitude=120"
  topnote air --temp 88F --dew-point 70F --altitude 2800ft --qnh 29.95inHg --units us
  topnote air --temp 20 --altitude 300 --filter-drop assumed`

	flagAirTemp     = "temperature in the shade: 31, 88F"
	flagAirRH       = "relative humidity, %"
	flagAirDewPoint = "dew point, instead of --rh: 12, 54F"
	flagAirAltitude = "height above sea level: 850, 2800ft"
	flagAirPressure = "pressure where the engine runs: 915, 27.02inHg"
	flagAirQNH      = "pressure at sea level from a weather report, with --altitude: 1013, 29.92inHg"
	flagAirSince    = "`air` of the day on which the screws were set: \"temp=8 rh=80 altitude=120\""
	flagAirFilter   = "`pressure` lost in the air filter beyond that when H was set: 5hPa, 2inH2O, or assumed"
	flagAirVenturi  = "`depression` in the venturi at full throttle, if measured: 40hPa, 16inH2O"
	flagAirFormat   = "`form` of the result: text or json"
	flagAirFull     = "print every figure, where it comes from, and all cautions"
	flagAirUnits    = "`units` of the text: metric or us; json is always metric"

	// assumedDrop is the value for a filter whose pressure drop was not measured.
	assumedDrop = "assumed"
)

// airJob is a parsed air command.
type airJob struct {
	streams
	now     air.Reading
	since   string
	filter  string // "": none
	venturi string // "": not measured
	format  string
	units   string
	full    bool
}

// newAir builds "topnote air".
func newAir(s streams) *cobra.Command {
	job := &airJob{streams: s}
	c := &cobra.Command{
		Use:     "air",
		Short:   airShort,
		Long:    airLong,
		Example: airExample,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuseArgument(args[0])
			}
			return job.run(c.Flags().Changed("since"))
		},
	}
	f := c.Flags()
	f.SortFlags = false
	for _, figure := range []struct{ name, kind, says string }{
		{"temp", "degrees", flagAirTemp},
		{"rh", "percent", flagAirRH},
		{"dew-point", "degrees", flagAirDewPoint},
		{"altitude", "height", flagAirAltitude},
		{"pressure", "pressure", flagAirPressure},
		{"qnh", "pressure", flagAirQNH},
	} {
		f.Var(&readingFlag{reading: &job.now, name: figure.name, kind: figure.kind}, figure.name, figure.says)
	}
	f.StringVar(&job.since, "since", "", flagAirSince)
	f.StringVar(&job.filter, "filter-drop", "", flagAirFilter)
	f.StringVar(&job.venturi, "venturi-drop", "", flagAirVenturi)
	f.StringVar(&job.format, "format", "text", flagAirFormat)
	f.BoolVar(&job.full, "full", false, flagAirFull)
	f.StringVar(&job.units, "units", "metric", flagAirUnits)
	return c
}

// run computes the answer and prints it. compare is true where --since was given,
// even if empty.
func (j *airJob) run(compare bool) error {
	units, err := air.ParseUnits(j.units)
	if err != nil {
		return airUsage("--units", err)
	}
	if j.format != "text" && j.format != "json" {
		return &usageError{quoted(j.format) + " is not a form of this result", "use text or json"}
	}
	if j.format == "json" && units != air.Metric {
		return &usageError{"json is always in metric units", "leave out --units, or use --format text"}
	}
	result, err := j.assess(compare)
	if err != nil {
		return err
	}
	return j.write(result, units)
}

func (j *airJob) assess(compare bool) (air.Result, error) {
	o := air.Default()
	now, err := j.now.Air(o)
	if err != nil {
		return air.Result{}, airUsage("", err)
	}
	filter, err := j.parseFilter()
	if err != nil {
		return air.Result{}, err
	}
	var since *air.Air
	if compare {
		reading, err := air.ParseReading(j.since)
		if err != nil {
			return air.Result{}, airUsage("--since", err)
		}
		then, err := reading.Air(o)
		if err != nil {
			return air.Result{}, airUsage("--since", err)
		}
		since = &then
	}
	result, err := air.Assess(now, since, filter, o)
	if err != nil {
		return air.Result{}, airUsage("", err)
	}
	return result, nil
}

// parseFilter gives the filter that was described, or nil.
func (j *airJob) parseFilter() (*air.Filter, error) {
	if j.filter == "" {
		if j.venturi != "" {
			return nil, &usageError{"--venturi-drop says nothing without a filter", "give --filter-drop as well"}
		}
		return nil, nil
	}
	var f air.Filter
	if j.filter != assumedDrop {
		drop, err := air.ParsePressure(j.filter)
		if err != nil {
			return nil, airUsage("--filter-drop", err)
		}
		f.Drop = &drop
	}
	if j.venturi != "" {
		venturi, err := air.ParsePressure(j.venturi)
		if err != nil {
			return nil, airUsage("--venturi-drop", err)
		}
		f.Venturi = &venturi
	}
	return &f, nil
}

// write prints the result, whole or not at all. JSON has no field for assumptions,
// so they go to the error stream.
func (j *airJob) write(result air.Result, units air.Units) error {
	var text bytes.Buffer
	if j.format == "json" {
		for _, note := range result.Warnings(units) {
			fmt.Fprintln(j.err, "topnote: "+note)
		}
		if err := result.WriteJSON(&text); err != nil {
			return err
		}
	} else if err := result.WriteText(&text, units, j.full); err != nil {
		return err
	}
	if _, err := text.WriteTo(j.out); err != nil {
		return saysCannotPrint(withoutPath(err))
	}
	return nil
}

// airUsage turns a problem of the air package into a usage error of a flag; flag is
// "" where several are meant.
func airUsage(flag string, err error) error {
	var problem *air.Problem
	if !errors.As(err, &problem) {
		return err
	}
	if flag != "" {
		flag += ": "
	}
	return &usageError{flag + problem.Says, problem.Do}
}

// readingFlag is a flag that holds one figure of a reading; it implements
// pflag.Value.
type readingFlag struct {
	reading    *air.Reading
	name, kind string
}

// Set parses the figure; flagError adds the flag's name to its error.
func (f *readingFlag) Set(text string) error {
	return airUsage("", f.reading.Set(f.name, text))
}

// String gives the default for the help: none.
func (f *readingFlag) String() string { return "" }

// Type names what the flag takes, for the help.
func (f *readingFlag) Type() string { return f.kind }
