package diagnose

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"topnote/internal/air"
	"topnote/internal/binom"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// straightMachine follows air and screw in a straight line: 12,600 rpm in standard
// air with H at 1.25 turns out.
type straightMachine struct {
	perPercent float64 // rpm for 1 % leaner
	perTurn    float64 // rpm for a turn of H out
}

// top gives its true top speed in rpm.
func (m straightMachine) top(reading air.Reading, h float64) float64 {
	a, err := reading.Air(air.Default())
	if err != nil {
		panic(err)
	}
	return 12600 + m.perPercent*float64(air.MixtureShift(a.State, standardAir().State)) + m.perTurn*(h-1.25)
}

// passes records it n times, two days apart, with the scatter that Options claim.
// The settings of H are used in turn.
func (m straightMachine) passes(rng *rand.Rand, n int, settings []float64) []book.Pass {
	var steps []step
	for i := range n {
		t, h := engine.Celsius(math.Round(10+8*rng.NormFloat64())), engine.Metre(200)
		rh := engine.Percent(60)
		reading := air.Reading{Temp: &t, Altitude: &h, RH: &rh}
		steps = append(steps, step{day: 2 * i, air: reading.String(), h: book.Turns(settings[i%len(settings)])})
	}
	passes := written(steps...)
	for i := range passes {
		top := m.top(*passes[i].Air, float64(*passes[i].Screws.H))
		top *= 1 + Default().SpeedScatter*rng.NormFloat64()
		end := passes[i].Report.TopEnd
		end.SustainedRPM = report.Speed(top + end.SDRPM*rng.NormFloat64())
		end.FourStrokingShare = min(1, max(0, 0.7-0.05*(top-12600)/max(50, m.perPercent)))
		end.CleanShare = 1 - end.FourStrokingShare
	}
	return passes
}

// TestLearnedTurn: of machines drawn from the prior, the turn of H that is learned
// is the true one within two deviations as often as it claims, 95 %; and its
// deviation is less than half of what common practice alone leaves.
func TestLearnedTurn(t *testing.T) {
	t.Parallel()
	const machines = 200
	o := Default()
	prior := priorResponse(12600, o)
	inside, width := 0, 0.0
	for seed := range uint64(machines) {
		rng := rand.New(rand.NewPCG(seed, 5))
		perPercent := 12600 * (o.SpeedPerPercent + o.SpeedPerPercentSD*rng.NormFloat64())
		m := straightMachine{perPercent, -perPercent * max(5, o.PercentPerTurn+o.PercentPerTurnSD*rng.NormFloat64())}
		got := learnResponse(observations(m.passes(rng, 9, []float64{1, 1.125, 1.25, 1.375})), o)
		if !got.Learned || got.Settings != 4 || got.Passes != 9 {
			t.Fatalf("got %+v", got)
		}
		if math.Abs(got.PerTurn-m.perTurn) < engine.CoverageFactor*got.PerTurnSD {
			inside++
		}
		width += got.PerTurnSD / machines
	}
	t.Logf("inside two deviations in %d of %d; deviation %.0f rpm a turn, by common practice %.0f", inside, machines, width, prior.PerTurnSD)
	const claimed = 0.95
	if inside < binom.Min(machines, claimed) || width > prior.PerTurnSD/2 {
		t.Errorf("inside two deviations in %d of %d; deviation %.0f rpm a turn, by common practice %.0f", inside, machines, width, prior.PerTurnSD)
	}
}

// TestPosteriorByStacking computes the same posterior in another way: the prior as
// two further rows of data, solved with dense inverses.
func TestPosteriorByStacking(t *testing.T) {
	t.Parallel()
	o := Default()
	const speed = 12600
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 6))
		all := observations(straightMachine{100, -2200}.passes(rng, 6, []float64{1, 1.125, 1.25, 1.375}))
		prior := priorResponse(speed, o)
		got, ok := prior.update(all, speed, o)
		if !ok {
			t.Fatal("no posterior")
		}
		want, variance := stackedPosterior(t, all, prior, speed, o)
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"rpm per percent", got.PerPercent, max(want.At(1, 0), o.MinResponse*prior.PerPercent)},
			{"rpm per turn", got.PerTurn, want.At(2, 0)},
			{"deviation per percent", got.PerPercentSD, math.Sqrt(variance.At(1, 1))},
			{"deviation per turn", got.PerTurnSD, math.Sqrt(variance.At(2, 2))},
			{"covariance", got.covariance, variance.At(1, 2)},
		} {
			const rounding = 1e-8
			if math.Abs(c.got-c.want) > rounding*math.Abs(c.want) {
				t.Errorf("%d: %s %v, want %v", seed, c.name, c.got, c.want)
			}
		}
	}
}

// stackedPosterior gives mean and covariance of level, response to a percent and
// to a turn.
func stackedPosterior(t *testing.T, all []observation, prior Response, speed float64, o Options) (mean, variance *mat.Dense) {
	t.Helper()
	n := len(all)
	middle := 0.0
	for _, r := range all {
		middle += float64(*r.Screws.H) / float64(n)
	}
	design, values, covariance := mat.NewDense(n+2, 3, nil), mat.NewDense(n+2, 1, nil), mat.NewDense(n+2, n+2, nil)
	covariance.Copy(speedCovariance(all, speed, prior.PerTurn, o))
	for i, r := range all {
		design.SetRow(i, []float64{1, r.airLean, float64(*r.Screws.H) - middle})
		values.Set(i, 0, r.speed()-speed)
	}
	design.SetRow(n, []float64{0, 1, 0})
	design.SetRow(n+1, []float64{0, 0, 1})
	values.Set(n, 0, prior.PerPercent)
	values.Set(n+1, 0, prior.PerTurn)
	covariance.Set(n, n, square(prior.PerPercentSD))
	covariance.Set(n+1, n+1, square(prior.PerTurnSD))
	covariance.Set(n, n+1, prior.covariance)
	covariance.Set(n+1, n, prior.covariance)
	var weights, weighted, normal, right mat.Dense
	mean, variance = new(mat.Dense), new(mat.Dense)
	if err := weights.Inverse(covariance); err != nil {
		t.Fatal(err)
	}
	weighted.Mul(&weights, design)
	normal.Mul(design.T(), &weighted)
	if err := variance.Inverse(&normal); err != nil {
		t.Fatal(err)
	}
	right.Mul(weighted.T(), values)
	mean.Mul(variance, &right)
	return mean, variance
}

// TestNotLearned: two settings, however often, show nothing of a turn; common
// practice stays, and is wide.
func TestNotLearned(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 5))
	for _, settings := range [][]float64{{1.25}, {1.25, 1.375}, {1.25, 1.26, 1.375, 1.38}} {
		passes := straightMachine{100, -2200}.passes(rng, 12, settings)
		got := learnResponse(observations(passes), Default())
		if got.Learned || got.Settings > 2 {
			t.Errorf("%v: got %+v", settings, got)
		}
		// An eighth of a turn: 200 to 400 rpm of 13,000 (common practice).
		if eighth := -got.PerTurn / 8; eighth < 200 || eighth > 400 || got.PerTurnSD < -got.PerTurn/3 {
			t.Errorf("%v: an eighth of a turn makes %v rpm, sd %v a turn", settings, eighth, got.PerTurnSD)
		}
		if m := NextMove(passes, Default()); m.Turns < 0 || m.Learned {
			t.Errorf("%v: it moves in: %+v", settings, m)
		}
	}
	if got := learnResponse(nil, Default()); got.Learned || math.IsNaN(got.PerTurn) {
		t.Errorf("of nothing: %+v", got)
	}
}
