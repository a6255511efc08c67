package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Response is what a machine's top speed does when its mixture is moved.
type Response struct {
	// PerTurn is the change of the top speed for one turn of H out, in rpm: below
	// 0 where out slows, as it does on the common type.
	PerTurn   float64 `json:"rpm_per_turn"`
	PerTurnSD float64 `json:"rpm_per_turn_sd"`
	// PerPercent is the change for a mixture that is 1 % leaner, in rpm.
	PerPercent   float64 `json:"rpm_per_percent_leaner"`
	PerPercentSD float64 `json:"rpm_per_percent_leaner_sd"`
	// Learned says that PerTurn comes from this machine's own passes, at three
	// settings of H or more; else it is common practice, wide.
	Learned  bool    `json:"learned"`
	Passes   int     `json:"passes"`   // that have a top speed and a noted setting
	Settings int     `json:"settings"` // of H that are apart
	together float64 // covariance of both
}

// expect gives what a response makes of a mixture that the air has made leaner
// by so many percent and of a screw that was opened by so many turns: the change
// of the top speed and its variance, in rpm.
func (r Response) expect(leaner, opened float64) (change, variance float64) {
	change = r.PerPercent*leaner + r.PerTurn*opened
	variance = square(leaner*r.PerPercentSD) + square(opened*r.PerTurnSD) + 2*leaner*opened*r.together
	return change, max(0, variance)
}

// learn finds the response of a machine from its passes. The top speed is taken
// as a level that drifts by itself (a random walk: a filter loads, a leak grows)
// plus what the air and the screw do, both in proportion; the prior is common
// practice. Passes that lie close together in time therefore tell most.
//
// Source: generalised least squares with a normal prior.
func learn(rs []reading, o Options) Response {
	used := slices.DeleteFunc(slices.Clone(rs), func(r reading) bool { return !r.usable })
	if n := len(used); n > o.MaxWindow {
		used = used[n-o.MaxWindow:]
	}
	speed := 0.0
	for _, r := range used {
		speed += r.speed() / float64(len(used))
	}
	prior := priorResponse(speed, o)
	prior.Passes, prior.Settings = settings(used, o)
	if len(used) < 2 {
		return prior
	}
	learned := prior
	if !learned.update(used, speed, o) {
		return prior
	}
	if learned.Settings < o.MinSettings {
		// Two settings do not tell a slope from a slip: the screw stays with common
		// practice, the air may be learned.
		learned.PerTurn, learned.PerTurnSD = prior.PerTurn, prior.PerTurnSD
		learned.together = prior.together * learned.PerPercentSD / prior.PerPercentSD
		return learned
	}
	learned.Learned = true
	return learned
}

// priorResponse is common practice for a machine of a top speed.
func priorResponse(speed float64, o Options) Response {
	k, kSD := o.SpeedPerPercent*speed, o.SpeedPerPercentSD*speed
	m, mSD := o.PercentPerTurn, o.PercentPerTurnSD
	return Response{
		PerPercent: k, PerPercentSD: kSD,
		PerTurn: -k * m, PerTurnSD: math.Sqrt(square(kSD*m) + square(k*mSD) + square(kSD*mSD)),
		together: -m * square(kSD),
	}
}

// settings counts the passes with a noted setting of H and how many settings
// are apart from each other.
func settings(rs []reading, o Options) (passes, apart int) {
	var turns []float64
	for _, r := range rs {
		if h, noted := r.setting(); noted {
			turns = append(turns, h)
		}
	}
	slices.Sort(turns)
	last := math.Inf(-1)
	for _, h := range turns {
		if h-last >= o.SettingApart {
			apart++
			last = h
		}
	}
	return len(turns), apart
}

// update turns the prior into the posterior; false where the figures allow none.
func (r *Response) update(rs []reading, speed float64, o Options) bool {
	n := len(rs)
	const unknowns = 3 // level, per percent, per turn
	design := mat.NewDense(n, unknowns, nil)
	tops := mat.NewVecDense(n, nil)
	middle := middleSetting(rs)
	for i, p := range rs {
		opened := 0.0
		if h, noted := p.setting(); noted {
			opened = h - middle
		}
		design.SetRow(i, []float64{1, p.thin, opened})
		tops.SetVec(i, p.speed()-speed)
	}
	var noise mat.Cholesky
	if !noise.Factorize(covariance(rs, speed, r.PerTurn, o)) {
		return false
	}
	var weighted mat.Dense
	var weightedTops mat.VecDense
	if noise.SolveTo(&weighted, design) != nil || noise.SolveVecTo(&weightedTops, tops) != nil {
		return false
	}
	var normal mat.Dense
	normal.Mul(design.T(), &weighted)
	var right mat.VecDense
	right.MulVec(design.T(), &weightedTops)
	return r.posterior(&normal, &right)
}

// posterior adds the prior to the normal equations and solves them.
func (r *Response) posterior(normal *mat.Dense, right *mat.VecDense) bool {
	vk, vg, c := square(r.PerPercentSD), square(r.PerTurnSD), r.together
	det := vk*vg - c*c
	if det <= 0 {
		return false
	}
	prior := [2][2]float64{{vg / det, -c / det}, {-c / det, vk / det}}
	means := [2]float64{r.PerPercent, r.PerTurn}
	const n = 3
	precision := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := normal.At(i, j)
			if i > 0 {
				v += prior[i-1][j-1]
			}
			precision.SetSym(i, j, v)
		}
	}
	for i := range means {
		right.SetVec(i+1, right.AtVec(i+1)+prior[i][0]*means[0]+prior[i][1]*means[1])
	}
	var chol mat.Cholesky
	var mean mat.VecDense
	var variance mat.SymDense
	if !chol.Factorize(precision) || chol.SolveVecTo(&mean, right) != nil || chol.InverseTo(&variance) != nil {
		return false
	}
	// A machine whose speed does not follow its mixture is one that these few
	// passes say little of.
	const least = 0.4
	r.PerPercent, r.PerTurn = max(mean.AtVec(1), least*r.PerPercent), mean.AtVec(2)
	r.PerPercentSD, r.PerTurnSD = math.Sqrt(variance.At(1, 1)), math.Sqrt(variance.At(2, 2))
	r.together = variance.At(1, 2)
	return true
}

// middleSetting gives the mean of the settings of H that were noted.
func middleSetting(rs []reading) float64 {
	sum, n := 0.0, 0.0
	for _, r := range rs {
		if h, noted := r.setting(); noted {
			sum += h
			n++
		}
	}
	return sum / max(n, 1)
}

// covariance gives that of the top speeds, in rpm squared: each pass by itself,
// and a drift that they share from the first of them on.
func covariance(rs []reading, speed, perTurn float64, o Options) *mat.SymDense {
	const month = 30
	v := mat.NewSymDense(len(rs), nil)
	drift := make([]float64, len(rs)) // variance from the first pass to each
	for i := 1; i < len(rs); i++ {
		drift[i] = drift[i-1] + square(o.Creep*speed)*(rs[i].day-rs[i-1].day)/month
		if renewed(rs[i-1], rs[i]) {
			drift[i] += square(o.Jump * speed)
		}
	}
	for i := range rs {
		for j := i; j < len(rs); j++ {
			v.SetSym(i, j, drift[i]) // of the earlier one
		}
		own := rs[i].variance(o)
		if _, noted := rs[i].setting(); !noted {
			own += square(perTurn * o.NoScrew)
		}
		v.SetSym(i, i, drift[i]+own)
	}
	return v
}

// renewed reports whether a pass has notes that the one before it has not.
func renewed(before, after reading) bool {
	return (after.FilterNote != "" && after.FilterNote != before.FilterNote) ||
		(after.FuelNote != "" && after.FuelNote != before.FuelNote)
}
