package diagnose

import (
	"math"
	"slices"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// Codes of package verdict that the record has to know; it may not import that
// package, and the codes are part of the report's schema.
const (
	codeOver         = "over-limit"
	codeAt           = "at-limit"
	codeClean        = "clean-below-limit"
	codeSpark        = "spark-limited"
	codeNotEnough    = "not-enough"
	codeNoEngine     = "no-engine"
	codeRichInCut    = "rich-in-cut"
	codeFourStroking = "four-stroking"

	findingNoReturn = "no-return"
	findingHangs    = "hangs"
	findingClimbs   = "climbs"
	findingSinks    = "sinks"
	findingSurges   = "surges"
	findingHunts    = "hunts"
	findingUnsteady = "unsteady-idle"
	findingLeaps    = "leaps"
)

// standardAir is the air that trends are reckoned to: 15 C, 1013.25 hPa, dry.
//
// Source: ISO 2533:1975, sea level.
func standardAir() air.Air {
	temp, height, humidity := engine.Celsius(15), engine.Metre(0), engine.Percent(0)
	a, err := air.Reading{Temp: &temp, Altitude: &height, RH: &humidity}.Air(air.Default())
	if err != nil {
		panic("book: the standard atmosphere is refused: " + err.Error()) // a constant reading
	}
	return a
}

// reading is one pass with the figures that are reckoned with.
type reading struct {
	book.Pass
	day    float64  // since the first of the passes
	air    *air.Air // nil: not noted
	top    *report.TopEnd
	thin   float64 // percent by which this air makes the mixture leaner than standard air; 0 where not noted
	usable bool    // its top speed tells of the mixture
}

// readingsOf makes readings of the passes that count, in the order in which
// they were recorded: those that a later entry speaks for are left out.
func readingsOf(passes []book.Pass) []reading {
	var rs []reading
	standard := standardAir()
	for _, p := range passes {
		if p.ReplacedBy != 0 {
			continue
		}
		r := reading{Pass: p, top: p.Report.TopEnd}
		if p.Air != nil {
			if a, err := p.Air.Air(air.Default()); err == nil { // it was checked when it was stored
				r.air = &a
				r.thin = float64(air.MixtureShift(a.State, standard.State))
			}
		}
		r.usable = r.top != nil && r.top.SustainedRPM.Told() && r.code() != codeSpark && r.code() != codeNoEngine &&
			p.Report.Engine.Strokes != 4
		rs = append(rs, r)
	}
	slices.SortFunc(rs, func(a, b reading) int { return a.Compare(b.Pass) })
	const hoursPerDay = 24
	for i := range rs {
		rs[i].day = rs[i].Recorded.Sub(rs[0].Recorded).Hours() / hoursPerDay
	}
	return rs
}

func (r reading) code() string { return r.Report.Verdict.Code }

func (r reading) found(codes ...string) bool {
	return slices.ContainsFunc(r.Report.Verdict.Findings, func(f report.Finding) bool { return slices.Contains(codes, f.Code) })
}

func (r reading) speed() float64 { return float64(r.top.SustainedRPM) }

// variance gives that of the top speed, in rpm squared: of the reading, of one
// pass to the next, and of air that was not noted.
func (r reading) variance(o Options) float64 {
	v := square(r.top.SDRPM) + square(o.Scatter*r.speed())
	if r.air == nil {
		v += square(o.SpeedPerPercent * r.speed() * o.NoAir)
	}
	return v
}

// setting gives the H screw in turns out, and whether it was noted.
func (r reading) setting() (turns float64, noted bool) {
	if r.Screws.H == nil {
		return 0, false
	}
	return float64(*r.Screws.H), true
}

func square(v float64) float64 { return v * v }

// normalAbove gives the chance that a normal quantity lies above a bound.
func normalAbove(mean, sd, bound float64) float64 {
	return 0.5 * math.Erfc((bound-mean)/(sd*math.Sqrt2))
}
