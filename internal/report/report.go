// Package report holds the one structure in which a measurement leaves the
// program, and the forms that it can be written in.
//
// Everything that a person or another program gets to see is drawn from a
// Report and from nothing else: the text on the terminal, the JSON, the table
// for a spreadsheet, the picture and the page. So two forms of one measurement
// can never disagree, and whoever keeps the JSON can have every other form
// later. A reading that could not be told is 0 inside, null in JSON, an empty
// cell in CSV and a gap in the picture; it is never a guess. Figures are
// rounded once, when the report is made: speeds to 0.1 rpm, times to 1 ms,
// shares to 0.001, so that files are small and the same on every machine.
// Start with New; then WriteJSON, WriteText or WriteCSV, and ReadJSON for the
// way back. The package measures and judges nothing.
package report

import "topnote/internal/engine"

// Schema names the layout of the JSON. A change that takes a field away or
// gives one another meaning needs a new name; a new optional field does not.
const Schema = "topnote.report/1"

// Speed is a shaft speed in rpm that may be missing: 0 when it could not be
// told or was not entered, null in JSON.
type Speed float64

// Told reports whether there is a speed at all.
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
}

// Clip is the recording: where it came from and what it holds.
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

// Engine is the engine as the user described it.
type Engine struct {
	Strokes   int `json:"strokes"`
	Cylinders int `json:"cylinders"`
}

// Limits are the speeds that the user entered; 0 where not entered.
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
	Confidence    float64 `json:"confidence"`      // 0 to 1
	FiresEveryRev int     `json:"fires_every_rev"` // 0 not told, N every Nth working cycle
}

// Phase is one stretch of the pass.
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

	// Beyond the fields that every report has:
	HeldFromS float64 `json:"held_from_s"` // the half second of SustainedRPM
	HeldToS   float64 `json:"held_to_s"`
	Drift     *Drift  `json:"drift"` // null: too short to tell
	Surge     *Swing  `json:"surge"` // null: none

	PeakSDRPM      float64    `json:"peak_sd_rpm"`
	FourStrokingSD float64    `json:"four_stroking_sd"` // of FourStrokingShare
	FiringShares   [5]float64 `json:"firing_shares"`    // element N: share that fires every Nth cycle; element 0: not told
	OvershootRPM   float64    `json:"overshoot_rpm"`    // over the settled speed, on opening; 0: none
	OvershootSDRPM float64    `json:"overshoot_sd_rpm"`
	Stutter        *Stutter   `json:"stutter"` // null: nothing like it
}

// GiveOrTake gives the half width of the band that holds the sustained speed
// with 95 in 100, in rpm, rounded up to full tens.
func (t TopEnd) GiveOrTake() float64 { return engine.HalfWidth(t.SDRPM) }

// Quality says how good the recording is and what stands in the way.
type Quality struct {
	SNRdB       *float64  `json:"snr_db"`       // engine over background; null: not measured
	ClippedPct  float64   `json:"clipped_pct"`  // share of samples at the rails, percent
	BandwidthHz *float64  `json:"bandwidth_hz"` // up to which there is sound; null: not measured
	Problems    []Problem `json:"problems"`     // never nil
}

// Problem is one thing about the recording that stands in the way.
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

	// Beyond the fields that every report has:
	Findings []Finding `json:"findings"` // what else was heard, most dangerous first; never nil
}

// Finding is something heard beside the verdict.
type Finding struct {
	Code   string   `json:"code"`
	Says   string   `json:"says"`
	Causes []string `json:"causes"` // most likely first; never nil
	Advice string   `json:"advice"`
}
