package air

import (
	"encoding/json"
	"io"
	"math"

	"topnote/internal/engine"
)

// Result is an air, the shift of the mixture since another air, and the effect of a
// filter.
type Result struct {
	Now    Air
	Since  *Air          // nil: no second air
	Shift  *Shift        // nil without Since
	Filter *FilterEffect // nil: no filter was given
}

// Assess computes a Result. since and filter may be nil. It returns the *Problem of
// Filter.Effect.
func Assess(now Air, since *Air, filter *Filter, o Options) (Result, error) {
	r := Result{Now: now, Since: since}
	if since != nil {
		s := Compare(now, *since, o)
		r.Shift = &s
	}
	if filter != nil {
		effect, err := filter.Effect(now.State, o)
		if err != nil {
			return Result{}, err
		}
		r.Filter = &effect
	}
	return r, nil
}

// Notes gives the Notes of the airs; with two, each says to which it belongs.
func (r Result) Notes(u Units) []string {
	return r.eachAir(func(a Air) []string { return a.Notes(u) })
}

// Warnings gives the Warnings of the airs; with two, each says to which it belongs.
func (r Result) Warnings(u Units) []string {
	return r.eachAir(func(a Air) []string { return a.Warnings(u) })
}

func (r Result) eachAir(say func(Air) []string) []string {
	if r.Since == nil {
		return say(r.Now)
	}
	var said []string
	for _, s := range say(r.Now) {
		said = append(said, "Now: "+s)
	}
	for _, s := range say(*r.Since) {
		said = append(said, "Then: "+s)
	}
	return said
}

// Schema names the form of Report.
const Schema = "topnote.air/1"

// Report is a Result as JSON. Figures are rounded to more digits than their
// uncertainty justifies, so that one can compute with them.
type Report struct {
	Schema             string        `json:"schema"` // Schema
	Air                AirReport     `json:"air"`
	Since              *AirReport    `json:"since"`
	MixtureShift       *float64      `json:"mixture_shift_pct"` // above 0 leaner now than since; null without since
	ShiftSD            *float64      `json:"shift_sd_pct"`
	Direction          *Direction    `json:"direction"`
	FuelFlowCorrection *float64      `json:"fuel_flow_correction_pct"` // above 0 more fuel: open H
	Filter             *FilterReport `json:"filter,omitempty"`         // only where a filter was asked for
}

// AirReport is an Air as JSON.
type AirReport struct {
	Temp            float64 `json:"temp_c"`
	RH              float64 `json:"rh_pct"`
	Pressure        float64 `json:"pressure_hpa"`
	Density         float64 `json:"density_kg_m3"`
	DryDensity      float64 `json:"dry_density_kg_m3"`
	DensityAltitude float64 `json:"density_altitude_m"`
}

// FilterReport is a FilterEffect as JSON.
type FilterReport struct {
	Drop           float64 `json:"drop_hpa"`
	DropAssumed    bool    `json:"drop_assumed"`
	Venturi        float64 `json:"venturi_hpa"`
	VenturiAssumed bool    `json:"venturi_assumed"`
	Open           float64 `json:"mixture_shift_pct"`
	SD             float64 `json:"shift_sd_pct"`
	Behind         float64 `json:"vented_behind_filter_shift_pct"`
}

// Decimals of the figures in a Report.
const (
	roundTemp     = 2
	roundRH       = 2
	roundPressure = 3 // hPa
	roundDensity  = 6
	roundHeight   = 1
	roundShift    = 3
)

// Report gives the result in the form of its JSON.
func (r Result) Report() Report {
	out := Report{Schema: Schema, Air: r.Now.report()}
	if r.Shift != nil {
		since := r.Since.report()
		out.Since = &since
		out.MixtureShift = new(rounded(r.Shift.Mixture, roundShift))
		out.ShiftSD = new(rounded(r.Shift.SD, roundShift))
		out.Direction = new(r.Shift.Direction)
		out.FuelFlowCorrection = new(rounded(r.Shift.FuelFlowCorrection(), roundShift))
	}
	if f := r.Filter; f != nil {
		out.Filter = &FilterReport{
			Drop:           rounded(f.Drop.Hectopascal(), roundPressure),
			DropAssumed:    f.DropAssumed,
			Venturi:        rounded(f.Venturi.Hectopascal(), roundPressure),
			VenturiAssumed: f.VenturiAssumed,
			Open:           rounded(f.Open, roundShift),
			SD:             rounded(f.SD, roundShift),
			Behind:         rounded(f.Behind, roundShift),
		}
	}
	return out
}

func (a Air) report() AirReport {
	return AirReport{
		Temp:            rounded(a.Temp, roundTemp),
		RH:              rounded(a.RH, roundRH),
		Pressure:        rounded(a.Pressure.Hectopascal(), roundPressure),
		Density:         rounded(a.Density, roundDensity),
		DryDensity:      rounded(a.DryDensity, roundDensity),
		DensityAltitude: rounded(a.DensityAltitude, roundHeight),
	}
}

// rounded gives v to so many decimals.
func rounded[T ~float64](v T, decimals int) float64 {
	return engine.Round(v, math.Pow10(decimals))
}

// WriteJSON writes the report on one line.
func (r Result) WriteJSON(w io.Writer) error {
	return json.NewEncoder(w).Encode(r.Report())
}
