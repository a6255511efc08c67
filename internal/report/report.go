// Package report holds the one structure in which a measurement leaves the
// program, and the forms that it can be written in.
//
// Every form is written from a Report and from nothing else: the text on the
// terminal, the JSON, the table for a spreadsheet, the captions, the picture and
// the page. So two forms of one measurement cannot disagree, and every other form
// can be made from the JSON later. A reading that could not be told is 0 inside,
// null in JSON, an empty cell in CSV and a gap in the picture; it is never a guess.
// Figures are rounded once, by New: speeds to 0.1 rpm, times to 1 ms, shares to
// 0.001, so that files are small and equal on every machine. Start with New; then
// WriteJSON, WriteText or WriteCSV, and ReadJSON to read a report back. The package
// measures and judges nothing.
package report

import "topnote/internal/engine"

// Schema names the layout of the JSON. Removing a field or changing its meaning
// needs a new name; a new optional field does not.
const Schema = "topnote.report/1"

// Speed is a shaft speed in rpm; 0, null in JSON, where it could not be told or was
// not entered.
type Speed float64

// Told reports whether there is a speed.
func (s Speed) Told() bool { return s > 0 }

// Report is one measured clip.
type Report struct {
	Schema  string  `json:"schema"` // always Schema
	Clip    Clip    `json:"clip"`
	Engine  Engine  `json:"engine"`
	Limits  Limits  `json:"limits"`
	Track   []Point `json:"track"`  // strictly rising TimeS
	Phases  []Phase `json:"phases"` // in order of time
	TopEnd  *TopEnd `json:"top_end"`
	Idle    *Idle   `json:"idle"`
	Rise    *Rise   `json:"rise"`
	Fall    *Fall   `json:"fall"`
	Cut     *Cut    `json:"cut"`
	Quality Quality `json:"quality"`
	Verdict Verdict `json:"verdict"`

	// Optional in the schema: one row for each opening of the throttle, in order of
	// time, where there are several.
	Openings []Opening `json:"openings,omitempty"`

	State engine.State `json:"state,omitzero"` // optional in the schema: of the machine, when it was recorded
}

// Clip describes the recording.
type Clip struct {
	File         string   `json:"file"`   // as the user named it; "-" for standard input
	SHA256       string   `json:"sha256"` // of the bytes read, lower-case hex
	DurationS    float64  `json:"duration_s"`
	SampleRateHz float64  `json:"sample_rate_hz"`
	Channels     int      `json:"channels"`
	Container    string   `json:"container"`
	Codec        string   `json:"codec"`
	Used         string   `json:"used,omitempty"`    // which channel was measured, in words
	Remarks      []string `json:"remarks,omitempty"` // sentences about the file
}

// Engine is the engine, and what it drives, as the user described it.
type Engine struct {
	Strokes   int `json:"strokes"`
	Cylinders int `json:"cylinders"`

	engine.Build // optional in the schema: members of the same object
}

// Limits are the speeds that the user entered, as speeds of the engine; 0 where not
// entered.
type Limits struct {
	MaxRPM    Speed `json:"max_rpm"`
	IdleRPM   Speed `json:"idle_rpm"`
	ClutchRPM Speed `json:"clutch_rpm"`
}

// Point is the reading at one instant.
type Point struct {
	TimeS         float64 `json:"t_s"`
	RPM           Speed   `json:"rpm"`
	SDRPM         float64 `json:"sd_rpm"`          // one standard deviation; 0 with no speed
	Confidence    float64 `json:"confidence"`      // 0 to 1: shaft.Point.Right
	FiresEveryRev int     `json:"fires_every_rev"` // 0 not told, N every Nth working cycle

	// Optional in the schema: 0 to 1, that it fires every time, or that it does not, as
	// FiresEveryRev says.
	FiringConfidence float64 `json:"firing_confidence,omitempty"`
}

// Phase is one phase of the pass.
type Phase struct {
	Kind              string  `json:"kind"` // a pass.Kind
	FromS             float64 `json:"from_s"`
	ToS               float64 `json:"to_s"`
	RPMMedian         Speed   `json:"rpm_median"`
	RPMMin            Speed   `json:"rpm_min"`
	RPMMax            Speed   `json:"rpm_max"`
	FourStrokingShare float64 `json:"four_stroking_share"` // 0 to 1
}

// TopEnd is the full-throttle run without load.
type TopEnd struct {
	SustainedRPM      Speed   `json:"sustained_rpm"` // highest speed held for 0.5 s
	SDRPM             float64 `json:"sd_rpm"`
	PeakRPM           Speed   `json:"peak_rpm"`
	FromS             float64 `json:"from_s"`
	ToS               float64 `json:"to_s"`
	FourStrokingShare float64 `json:"four_stroking_share"` // 0 to 1
	CleanShare        float64 `json:"clean_share"`         // 0 to 1

	// Optional in the schema:
	HeldFromS float64      `json:"held_from_s"` // the half second of SustainedRPM
	HeldToS   float64      `json:"held_to_s"`
	Drift     *Drift       `json:"drift"` // null: too short
	Surge     *Oscillation `json:"surge"` // null: none

	PeakSDRPM      float64    `json:"peak_sd_rpm"`
	FourStrokingSD float64    `json:"four_stroking_sd"`     // of FourStrokingShare
	MostlyFour     float64    `json:"mostly_four_stroking"` // 0 to 1: probability that it four-strokes for most of it
	FiringShares   [5]float64 `json:"firing_shares"`        // element N: share that fires every Nth cycle; element 0: not told
	OvershootRPM   float64    `json:"overshoot_rpm"`        // over the settled speed, on opening; 0: none
	OvershootSDRPM float64    `json:"overshoot_sd_rpm"`
	Stutter        *Stutter   `json:"stutter"` // null: nothing like it
}

// margin gives how far the top speed is over the limit, below 0 for under it, in rpm as
// readers see it: see engine.Margin. It needs both.
func (r Report) margin() float64 {
	return engine.Margin(float64(r.TopEnd.SustainedRPM), float64(r.Limits.MaxRPM))
}

// HalfWidthRPM gives the half width of the band that holds the sustained speed
// with 95 in 100, in rpm, rounded up to full tens.
func (t TopEnd) HalfWidthRPM() float64 { return engine.HalfWidth(t.SDRPM) }

// Quality describes the recording as a measurement: levels and problems.
type Quality struct {
	SNRdB       *float64  `json:"snr_db"`       // engine over background; null: not measured
	ClippedPct  float64   `json:"clipped_pct"`  // share of samples at the rails, percent
	BandwidthHz *float64  `json:"bandwidth_hz"` // highest frequency with sound; null: not measured
	Problems    []Problem `json:"problems"`     // never nil
}

// Problem is one problem with the recording.
type Problem struct {
	Code string `json:"code"`
	Says string `json:"says"` // what it is and what to do about it
}

// Verdict is the judgement.
type Verdict struct {
	Code            string   `json:"code"` // a verdict.Code
	Says            string   `json:"says"`
	Advice          []string `json:"advice"`   // never nil
	Cautions        []string `json:"cautions"` // never nil
	OtherReadingRPM Speed    `json:"other_reading_rpm"`

	// Optional in the schema:
	Findings []Finding `json:"findings"`       // most dangerous first; never nil
	Asks     string    `json:"asks,omitempty"` // the key of the engine's field whose answer would change the code most
}

// Finding is a fault that was found beside the verdict.
type Finding struct {
	Code   string   `json:"code"`
	Says   string   `json:"says"`
	Causes []string `json:"causes"` // most likely first; never nil
	Advice string   `json:"advice"`
}
