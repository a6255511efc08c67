package live

import (
	"topnote/internal/engine"
	"topnote/internal/report"
)

// ReadingJSON is a reading as programs get it.
type ReadingJSON struct {
	Kind          string       `json:"kind"` // "reading"
	TimeS         float64      `json:"t_s"`
	HeardS        float64      `json:"heard_s"`
	RPM           report.Speed `json:"rpm"` // null: not told
	SDRPM         float64      `json:"sd_rpm"`
	Confidence    float64      `json:"confidence"`
	FiresEveryRev int          `json:"fires_every_rev"` // 0: not told
	OpenS         float64      `json:"open_s"`          // for which the throttle has been fully open
	Warn          Warning      `json:"warn"`
	Level         Level        `json:"level"`
}

// The resolution of the figures: 0.1 rpm, 1 ms, 0.001 of a confidence.
const perRPM, perSecond, perShare = 10, 1000, 1000

// JSON gives the reading as programs get it.
func (r Reading) JSON() ReadingJSON {
	return ReadingJSON{
		Kind: "reading", TimeS: engine.Round(r.At, perSecond), HeardS: engine.Round(r.Heard, perSecond),
		RPM: report.Speed(engine.Round(r.Speed, perRPM)), SDRPM: engine.Round(r.SD, perRPM), Confidence: engine.Round(r.Confidence, perShare),
		FiresEveryRev: int(r.Fires), OpenS: engine.Round(r.Open, perSecond), Warn: r.Warn, Level: r.Level,
	}
}

// RowJSON is a row as programs get it.
type RowJSON struct {
	Kind   string  `json:"kind"` // "row"
	Row    int     `json:"row"`
	LetGoS float64 `json:"let_go_s"`
	HeardS float64 `json:"heard_s"`
	report.Opening
	LimitRPM report.Speed `json:"limit_rpm"` // null: none was entered
	Says     string       `json:"says"`
}

// JSON gives the row as programs get it.
func (r Row) JSON(limit engine.RPM) RowJSON {
	return RowJSON{
		Kind: "row", Row: r.Number, LetGoS: engine.Round(r.LetGo, perSecond), HeardS: engine.Round(r.Heard, perSecond), Opening: r.Opening,
		LimitRPM: report.Speed(engine.Round(limit, perRPM)), Says: r.Report.Verdict.Says,
	}
}
