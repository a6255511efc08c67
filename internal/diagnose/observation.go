package diagnose

import (
	"math"
	"slices"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// Codes of package verdict that this package has to know. It may not import that
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

	codeGoverned = "governed"
	codeBelow    = "below-limit"

	findingNoReturn = "no-return"
	findingHangs    = "hangs"
	findingClimbs   = "climbs"
	findingSinks    = "sinks"
	findingSurges   = "surges"
	findingHunts    = "hunts"
	findingUnsteady = "unsteady-idle"
	findingLeaps    = "leaps"
	findingSags     = "sags"
)

// fourStrokes is a four-stroke engine's number of strokes.
const fourStrokes = 4

// standardAir is the air that trends are corrected to: 15 C, 1013.25 hPa, dry.
//
// Source: ISO 2533:1975, sea level.
func standardAir() air.Air {
	temp, height, humidity := engine.Celsius(15), engine.Metre(0), engine.Percent(0)
	a, err := air.Reading{Temp: &temp, Altitude: &height, RH: &humidity}.Air(air.Default())
	if err != nil {
		panic("diagnose: the standard atmosphere is refused: " + err.Error()) // a constant reading
	}
	return a
}

// observation is one pass with the figures that explanations are computed from.
type observation struct {
	book.Pass
	day     float64        // since the first of the passes
	air     *air.Air       // nil: not noted
	top     *report.TopEnd // nil: no full throttle without load
	airLean float64        // percent by which this air makes the mixture leaner than standard air; 0 where not noted
	usable  bool           // its top speed depends on the mixture
}

// observations gives the passes that count, in the order in which they were
// recorded: those that a later entry replaced are left out.
func observations(passes []book.Pass) []observation {
	var all []observation
	standard := standardAir()
	for _, p := range passes {
		if p.ReplacedBy == 0 {
			all = append(all, observe(p, standard))
		}
	}
	slices.SortFunc(all, func(a, b observation) int { return a.Compare(b.Pass) })
	const hoursPerDay = 24
	for i := range all {
		all[i].day = all[i].Recorded.Sub(all[0].Recorded).Hours() / hoursPerDay
	}
	return all
}

func observe(p book.Pass, standard air.Air) observation {
	o := observation{Pass: p, top: p.Report.TopEnd}
	if p.Air != nil {
		if a, err := p.Air.Air(air.Default()); err == nil { // it was checked when it was stored
			o.air = &a
			o.airLean = float64(air.MixtureShift(a.State, standard.State))
		}
	}
	o.usable = o.top != nil && o.top.SustainedRPM.Told() && o.code() != codeSpark && o.code() != codeGoverned && o.code() != codeNoEngine &&
		traitsOf(p.Report.Engine).speedTells()
	return o
}

func (o observation) code() string { return o.Report.Verdict.Code }

func (o observation) hasFinding(codes ...string) bool {
	return slices.ContainsFunc(o.Report.Verdict.Findings, func(f report.Finding) bool { return slices.Contains(codes, f.Code) })
}

func (o observation) speed() float64 { return float64(o.top.SustainedRPM) }

// variance gives that of the top speed, in rpm squared: of the reading, of one
// pass to the next, and of air that was not noted.
func (o observation) variance(opt Options) float64 {
	v := square(o.top.SDRPM) + square(opt.SpeedScatter*o.speed())
	if o.air == nil {
		v += square(opt.SpeedPerPercent * o.speed() * opt.UnknownAir)
	}
	return v
}

// setting gives the H screw in turns out, and whether it was noted.
func (o observation) setting() (turns float64, noted bool) {
	if o.Screws.H == nil {
		return 0, false
	}
	return float64(*o.Screws.H), true
}

// uneven reports whether the engine ran unevenly, or its firing is not told.
func (o observation) uneven() bool {
	_, told := o.FourStrokingShare()
	return o.hasFinding(findingHunts, findingUnsteady, findingSurges, findingLeaps) || (o.top != nil && !told)
}

// doubtful reports whether the recording cannot be relied on.
func (o observation) doubtful(opt Options) bool {
	return o.top == nil || o.code() == codeNotEnough || o.Report.Verdict.OtherReadingRPM.Told() || o.hasFinding(findingLeaps) ||
		len(o.Report.Quality.Problems) > 0 || o.top.SDRPM > opt.MaxSpeedSD*o.speed()
}

func square(v float64) float64 { return v * v }

// estimate is a value with its standard deviation.
type estimate struct{ value, sd float64 }

// halfWidth gives that of the coverage interval (95 %).
func (e estimate) halfWidth() float64 { return engine.CoverageFactor * e.sd }

// significant reports whether zero lies outside the coverage interval.
func (e estimate) significant() bool { return math.Abs(e.value) >= e.halfWidth() }

// negative gives the estimate with the other sign.
func (e estimate) negative() estimate { return estimate{-e.value, e.sd} }

// less gives the difference to an independent estimate.
func (e estimate) less(o estimate) estimate {
	return estimate{e.value - o.value, math.Hypot(e.sd, o.sd)}
}

// over gives the estimate divided by a known factor above 0.
func (e estimate) over(factor float64) estimate { return estimate{e.value / factor, e.sd / factor} }

// times gives the estimate multiplied by a known factor above 0.
func (e estimate) times(factor float64) estimate { return estimate{e.value * factor, e.sd * factor} }

// probAbove gives the probability that a normal quantity lies above a bound. It
// uses the complement of the error function, which keeps its accuracy far out in
// the tail.
func (e estimate) probAbove(bound float64) float64 {
	return 0.5 * math.Erfc((bound-e.value)/(e.sd*math.Sqrt2))
}
