package live

import (
	"topnote/internal/engine"
	"topnote/internal/needle"
	"topnote/internal/report"
)

// ReadingJSON is a reading as programs get it.
type ReadingJSON struct {
	Kind          string         `json:"kind"` // "reading"
	TimeS         float64        `json:"t_s"`
	HeardS        float64        `json:"heard_s"`
	RPM           report.Speed   `json:"rpm"` // null: not told
	SDRPM         float64        `json:"sd_rpm"`
	Confidence    float64        `json:"confidence"`
	FiresEveryRev int            `json:"fires_every_rev"` // 0: not told
	OpenS         float64        `json:"open_s"`          // for which the throttle has been fully open
	Warn          needle.Warning `json:"warn"`
	Level         needle.Level   `json:"level"`
}

// JSON gives a reading as programs get it.
func JSON(r needle.Reading) ReadingJSON {
	r = r.Rounded()
	return ReadingJSON{
		Kind: "reading", TimeS: float64(r.At), HeardS: float64(r.Heard), RPM: report.Speed(r.Speed), SDRPM: float64(r.SD), Confidence: r.Confidence,
		FiresEveryRev: int(r.Fires), OpenS: float64(r.Open), Warn: r.Warn, Level: r.Level,
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
	const perRPM, perSecond = 10, 1000
	return RowJSON{
		Kind: "row", Row: r.Number, LetGoS: engine.Round(r.LetGo, perSecond), HeardS: engine.Round(r.Heard, perSecond), Opening: r.Opening,
		LimitRPM: report.Speed(engine.Round(limit, perRPM)), Says: r.Report.Verdict.Says,
	}
}
