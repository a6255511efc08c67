package diagnose

import (
	"math"

	"topnote/internal/engine"
)

// The parts of a change. The values are part of the schema of an explanation.
const (
	partAir      = "air"
	partTemp     = "temperature"
	partPressure = "pressure"
	partHumidity = "humidity"
	partScrew    = "h-screw"
	partRest     = "rest"
	partSlow     = "slow"   // of the rest: what grew over the passes
	partSudden   = "sudden" // of the rest: what came in a step
)

// parts splits the change of the top speed by its causes. There are none where the
// two top speeds cannot be compared.
func (c *comparison) parts() []Part {
	if !c.comparable {
		return []Part{}
	}
	perPercent := c.response.PerPercent
	list := c.airParts()
	screw := newPart(partScrew, "", c.byScrew.over(perPercent), c.byScrew)
	screw.assumed = c.screw != screwKnown
	rest := newPart(partRest, "", c.residual, c.residualRPM)
	rest.Side = c.side(c.likeliestGroup())
	list = append(list, screw, rest)
	if c.separated {
		list = append(list,
			newPart(partSlow, partRest, c.gradual, c.gradual.times(perPercent)),
			newPart(partSudden, partRest, c.sudden, c.sudden.times(perPercent)))
	}
	return list
}

// likeliestGroup gives the group of causes that is most likely.
func (c *comparison) likeliestGroup() Group {
	likeliest, highest := GroupNone, 0.0
	for _, g := range groups {
		if p := c.belief.group(g.group); p > highest {
			likeliest, highest = g.group, p
		}
	}
	return likeliest
}

// airParts gives the part of the air, and where it was noted, what temperature,
// pressure and humidity make of it.
func (c *comparison) airParts() []Part {
	perPercent := c.response.PerPercent
	if c.shift == nil {
		unknown := estimate{0, c.opt.UnknownAir}
		part := newPart(partAir, "", unknown, unknown.times(perPercent))
		part.assumed = true
		return []Part{part}
	}
	s := c.shift
	list := []Part{newPart(partAir, "", estimate{float64(s.Mixture), float64(s.SD)}, c.byAir)}
	for _, one := range []struct {
		what   string
		leaner float64
	}{{partTemp, float64(s.Parts.Temp)}, {partPressure, float64(s.Parts.Pressure)}, {partHumidity, float64(s.Parts.Humidity)}} {
		leaner := estimate{value: one.leaner}
		list = append(list, newPart(one.what, partAir, leaner, leaner.times(perPercent)))
	}
	return list
}

// newPart rounds a part to the figures that are worth writing down. leaner is in
// percent of mixture.
func newPart(what, of string, leaner, rpm estimate) Part {
	return Part{
		What: what, Of: of, Leaner: hundredth(leaner.value), SD: hundredth(leaner.sd), RPM: math.Round(rpm.value), SDRPM: math.Round(rpm.sd),
	}
}

// What shifts of the mixture are rounded to, in percent.
func tenth(v float64) float64     { return engine.Round(v, 10) }
func hundredth(v float64) float64 { return engine.Round(v, 100) }
