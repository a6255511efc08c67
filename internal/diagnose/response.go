package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// Response is how a machine's top speed follows its mixture.
type Response struct {
	// PerTurn is the change of the top speed for one turn of H out, in rpm: below
	// 0 where out slows, as on the common type of screw.
	PerTurn   float64 `json:"rpm_per_turn"`
	PerTurnSD float64 `json:"rpm_per_turn_sd"`
	// PerPercent is the change for a mixture that is 1 % leaner, in rpm.
	PerPercent   float64 `json:"rpm_per_percent_leaner"`
	PerPercentSD float64 `json:"rpm_per_percent_leaner_sd"`
	// Learned says that PerTurn comes from this machine's own passes, at
	// Options.MinSettings settings of H or more; otherwise it is common practice,
	// and wide.
	Learned    bool    `json:"learned"`
	Passes     int     `json:"passes"`   // that have a top speed and a noted setting
	Settings   int     `json:"settings"` // of H that differ
	covariance float64 // of PerPercent and PerTurn
}

// predict gives the change of the top speed, and its variance, for a mixture that
// the air has made leaner by so many percent and a screw that was opened by so
// many turns, in rpm.
func (r Response) predict(leaner, opened float64) (change, variance float64) {
	change = r.PerPercent*leaner + r.PerTurn*opened
	variance = square(leaner*r.PerPercentSD) + square(opened*r.PerTurnSD) + 2*leaner*opened*r.covariance
	return change, max(0, variance)
}

// rounded gives the response to the figures that are worth writing down.
func (r Response) rounded() Response {
	for _, v := range []*float64{&r.PerTurn, &r.PerTurnSD, &r.PerPercent, &r.PerPercentSD} {
		*v = math.Round(*v)
	}
	return r
}

// learnResponse estimates the response of a machine from its passes. The top
// speed is modelled as a level that drifts by itself (a random walk: a filter
// loads, a leak grows) plus what the air and the screw do, both linear; the prior
// is common practice. Passes close together in time therefore weigh most.
//
// Source: generalised least squares with a normal prior.
func learnResponse(all []observation, o Options) Response {
	used := slices.DeleteFunc(slices.Clone(all), func(r observation) bool { return !r.usable })
	if n := len(used); n > o.MaxPasses {
		used = used[n-o.MaxPasses:]
	}
	speed := meanSpeed(used)
	prior := priorResponse(speed, o)
	prior.Passes, prior.Settings = countSettings(used, o)
	if len(used) < 2 {
		return prior
	}
	learned, ok := prior.update(used, speed, o)
	switch {
	case !ok:
		return prior
	case learned.Settings < o.MinSettings:
		// Two settings cannot part a slope from an error: for the screw, common
		// practice stays; for the air, what was learned.
		learned.PerTurn, learned.PerTurnSD = prior.PerTurn, prior.PerTurnSD
		learned.covariance = prior.covariance * learned.PerPercentSD / prior.PerPercentSD
		return learned
	}
	learned.Learned = true
	return learned
}

// meanSpeed gives the mean top speed, 0 of nothing.
func meanSpeed(all []observation) float64 {
	if len(all) == 0 {
		return 0
	}
	var speeds []float64
	for _, r := range all {
		speeds = append(speeds, r.speed())
	}
	return stat.Mean(speeds, nil)
}

// priorResponse is common practice for a machine of a top speed.
func priorResponse(speed float64, o Options) Response {
	perPercent, perPercentSD := o.SpeedPerPercent*speed, o.SpeedPerPercentSD*speed
	percent, percentSD := o.PercentPerTurn, o.PercentPerTurnSD
	return Response{
		PerPercent: perPercent, PerPercentSD: perPercentSD,
		PerTurn:    -perPercent * percent,
		PerTurnSD:  math.Sqrt(square(perPercentSD*percent) + square(perPercent*percentSD) + square(perPercentSD*percentSD)),
		covariance: -percent * square(perPercentSD),
	}
}

// countSettings counts the passes with a noted setting of H, and how many
// settings differ from each other.
func countSettings(all []observation, o Options) (passes, different int) {
	turns := notedSettings(all)
	slices.Sort(turns)
	last := math.Inf(-1)
	for _, h := range turns {
		if h-last >= o.MinSettingStep {
			different++
			last = h
		}
	}
	return len(turns), different
}

// notedSettings gives the settings of H that were noted, in turns out.
func notedSettings(all []observation) []float64 {
	var turns []float64
	for _, r := range all {
		if h, noted := r.setting(); noted {
			turns = append(turns, h)
		}
	}
	return turns
}

// The unknowns of the model.
const (
	unknownLevel = iota
	unknownPerPercent
	unknownPerTurn
	numUnknowns
)

// update gives the posterior of the prior r; not ok where the figures allow none.
func (r Response) update(all []observation, speed float64, o Options) (posterior Response, ok bool) {
	n := len(all)
	design := mat.NewDense(n, numUnknowns, nil)
	tops := mat.NewVecDense(n, nil)
	mean := 0.0 // setting of H
	if turns := notedSettings(all); len(turns) > 0 {
		mean = stat.Mean(turns, nil)
	}
	for i, p := range all {
		opened := 0.0
		if h, noted := p.setting(); noted {
			opened = h - mean
		}
		design.SetRow(i, []float64{1, p.airLean, opened})
		tops.SetVec(i, p.speed()-speed)
	}
	var noise mat.Cholesky
	var weighted, normal mat.Dense
	if !noise.Factorize(speedCovariance(all, speed, r.PerTurn, o)) || noise.SolveTo(&weighted, design) != nil {
		return r, false
	}
	var right mat.VecDense
	normal.Mul(design.T(), &weighted)
	right.MulVec(weighted.T(), tops)
	return r.addPrior(&normal, &right, o)
}

// addPrior adds the prior r to the normal equations and solves them.
func (r Response) addPrior(normal *mat.Dense, right *mat.VecDense, o Options) (posterior Response, ok bool) {
	spread := mat.NewSymDense(2, []float64{square(r.PerPercentSD), r.covariance, r.covariance, square(r.PerTurnSD)})
	var ofPrior mat.Cholesky
	var information mat.SymDense // of the prior: the inverse of its covariance
	if !ofPrior.Factorize(spread) || ofPrior.InverseTo(&information) != nil {
		return r, false
	}
	precision := mat.NewSymDense(numUnknowns, nil)
	for i := range numUnknowns {
		for j := i; j < numUnknowns; j++ {
			v := normal.At(i, j)
			if i > unknownLevel { // the level has no prior
				v += information.At(i-1, j-1)
			}
			precision.SetSym(i, j, v)
		}
	}
	var pull mat.VecDense
	pull.MulVec(&information, mat.NewVecDense(2, []float64{r.PerPercent, r.PerTurn}))
	for i := range 2 {
		right.SetVec(i+1, right.AtVec(i+1)+pull.AtVec(i))
	}
	var cholesky mat.Cholesky
	var mean mat.VecDense
	var variance mat.SymDense
	if !cholesky.Factorize(precision) || cholesky.SolveVecTo(&mean, right) != nil || cholesky.InverseTo(&variance) != nil {
		return r, false
	}
	// Where the speed hardly follows the mixture, these few passes show little.
	posterior = r
	posterior.PerPercent = max(mean.AtVec(unknownPerPercent), o.MinResponse*r.PerPercent)
	posterior.PerTurn = mean.AtVec(unknownPerTurn)
	posterior.PerPercentSD = math.Sqrt(variance.At(unknownPerPercent, unknownPerPercent))
	posterior.PerTurnSD = math.Sqrt(variance.At(unknownPerTurn, unknownPerTurn))
	posterior.covariance = variance.At(unknownPerPercent, unknownPerTurn)
	return posterior, true
}

// speedCovariance gives the covariance of the top speeds, in rpm squared: the
// variance of each pass, and a drift that they share since the first of them.
func speedCovariance(all []observation, speed, perTurn float64, o Options) *mat.SymDense {
	const month = 30 // days
	v := mat.NewSymDense(len(all), nil)
	drift := make([]float64, len(all)) // variance from the first pass to each
	for i := 1; i < len(all); i++ {
		drift[i] = drift[i-1] + square(o.MonthlyDrift*speed)*(all[i].day-all[i-1].day)/month
		if renewed(all[i-1], all[i]) {
			drift[i] += square(o.RenewalStep * speed)
		}
	}
	for i := range all {
		for j := i; j < len(all); j++ {
			v.SetSym(i, j, drift[i]) // of the earlier one
		}
		own := all[i].variance(o)
		if _, noted := all[i].setting(); !noted {
			own += square(perTurn * o.UnknownScrew)
		}
		v.SetSym(i, i, drift[i]+own)
	}
	return v
}

// renewed reports whether a pass has a note that the one before it has not.
func renewed(before, after observation) bool {
	return (after.FilterNote != "" && after.FilterNote != before.FilterNote) ||
		(after.FuelNote != "" && after.FuelNote != before.FuelNote)
}
