package diagnose

import (
	"math"

	"topnote/internal/engine"

	"gonum.org/v1/gonum/mat"
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
	partSudden   = "sudden" // of the rest: what came with one pass
)

// parts splits the change of the top speed by what made it. Nothing for two
// passes whose top speeds cannot be compared.
func (p *pair) parts() []Part {
	list := []Part{}
	if !p.comparable {
		return list
	}
	k := p.response.PerPercent
	add := func(what, of string, leaner, rpm figure, assumed bool) {
		list = append(list, Part{
			What: what, Of: of, Leaner: hundredth(leaner.v), SD: hundredth(leaner.sd), RPM: math.Round(rpm.v), SDRPM: math.Round(rpm.sd), assumed: assumed,
		})
	}
	if p.shift == nil {
		unknown := figure{0, p.opt.NoAir}
		add(partAir, "", unknown, figure{0, k * unknown.sd}, true)
	} else {
		s := p.shift
		add(partAir, "", figure{float64(s.Mixture), float64(s.SD)}, p.byAir, false)
		for _, one := range []struct {
			what   string
			leaner float64
		}{{partTemp, float64(s.Parts.Temp)}, {partPressure, float64(s.Parts.Pressure)}, {partHumidity, float64(s.Parts.Humidity)}} {
			add(one.what, partAir, figure{v: one.leaner}, figure{v: k * one.leaner}, false)
		}
	}
	add(partScrew, "", figure{p.byScrew.v / k, p.byScrew.sd / k}, p.byScrew, p.screw != screwKnown)
	add(partRest, "", p.rest, p.restRPM, false)
	if p.parted {
		add(partSlow, partRest, p.slow, figure{k * p.slow.v, k * p.slow.sd}, false)
		add(partSudden, partRest, p.sudden, figure{k * p.sudden.v, k * p.sudden.sd}, false)
	}
	return list
}

// What shifts of the mixture are rounded to, in percent.
func tenth(v float64) float64     { return engine.Round(v, 10) }
func hundredth(v float64) float64 { return engine.Round(v, 100) }

// minSplit is how many passes it takes to tell what grew from what leapt: a
// level, a growth and a leap are three unknowns.
const minSplit = 5

// split parts what is left into what grew over the passes and what came with
// one of them. It is told where there were passes enough and both are more than
// chance.
func (p *pair) split() (slow, sudden figure, told bool) {
	days, rests, c := p.days, p.rests, p.came
	from, to := p.thenAt(), p.nowAt()
	if !c.told || len(days) < minSplit || c.leap < 2 {
		return figure{}, figure{}, false
	}
	growth := grown(days, 1)
	grew, leapt, _, ok := fitTwo(rests, growth, after(c.leap))
	if !ok {
		return figure{}, figure{}, false
	}
	span := growth(to) - growth(from)
	slow, sudden = figure{grew.v * span, grew.sd * span}, leapt
	for _, f := range []figure{slow, sudden} {
		if math.Abs(f.v) < engine.CoverageFactor*f.sd || math.Abs(f.v) < p.opt.Worth {
			return figure{}, figure{}, false
		}
	}
	return slow, sudden, true
}

// fitTwo fits a level and multiples of two shapes to figures, and gives both
// multiples and the sum of squared deviations that is left.
//
// Source: weighted least squares.
func fitTwo(figures []figure, a, b func(int) float64) (byA, byB figure, left float64, ok bool) {
	const unknowns = 3
	normal := mat.NewSymDense(unknowns, nil)
	right := mat.NewVecDense(unknowns, nil)
	for i, f := range figures {
		row := [unknowns]float64{1, a(i), b(i)}
		weight := 1 / square(f.sd)
		for j := range unknowns {
			right.SetVec(j, right.AtVec(j)+weight*row[j]*f.v)
			for k := j; k < unknowns; k++ {
				normal.SetSym(j, k, normal.At(j, k)+weight*row[j]*row[k])
			}
		}
	}
	var chol mat.Cholesky
	var mean mat.VecDense
	var variance mat.SymDense
	if !chol.Factorize(normal) || chol.SolveVecTo(&mean, right) != nil || chol.InverseTo(&variance) != nil {
		return figure{}, figure{}, 0, false
	}
	for i, f := range figures {
		left += square((f.v - mean.AtVec(0) - mean.AtVec(1)*a(i) - mean.AtVec(2)*b(i)) / f.sd)
	}
	return figure{mean.AtVec(1), math.Sqrt(variance.At(1, 1))}, figure{mean.AtVec(2), math.Sqrt(variance.At(2, 2))}, left, true
}
