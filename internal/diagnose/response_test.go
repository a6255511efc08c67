package diagnose

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// straight makes passes of a machine that follows air and screw in a straight
// line, with the scatter that Options claims.
func straight(rng *rand.Rand, n int, perPercent, perTurn float64, settings []float64) []book.Pass {
	var steps []step
	thin := make([]float64, n)
	for i := range n {
		t, h := engine.Celsius(math.Round(10+8*rng.NormFloat64())), engine.Metre(200)
		rh := engine.Percent(60)
		reading := air.Reading{Temp: &t, Altitude: &h, RH: &rh}
		a, err := reading.Air(air.Default())
		if err != nil {
			panic(err)
		}
		thin[i] = float64(air.MixtureShift(a.State, standardAir().State))
		steps = append(steps, step{day: 2 * i, air: reading.String(), h: book.Turns(settings[i%len(settings)])})
	}
	passes := written(steps...)
	for i := range passes {
		top := 12600 + perPercent*thin[i] + perTurn*float64(*passes[i].Screws.H-1.25)
		top *= 1 + Default().SpeedScatter*rng.NormFloat64()
		end := passes[i].Report.TopEnd
		end.SustainedRPM = report.Speed(top + 30*rng.NormFloat64())
		end.FourStrokingShare = min(1, max(0, 0.7-0.05*(top-12600)/max(50, perPercent)))
		end.CleanShare = 1 - end.FourStrokingShare
	}
	return passes
}

// TestLearn: the turn of H that is learned is the true one, within the deviation
// that is claimed: 95 in 100 inside two of them, and no wider than it need be.
func TestLearn(t *testing.T) {
	t.Parallel()
	const machines = 200
	inside, wide := 0, 0.0
	for seed := range uint64(machines) {
		rng := rand.New(rand.NewPCG(seed, 5))
		k := 12600 * (0.008 + 0.003*rng.NormFloat64())
		g := -k * max(5, 22+8*rng.NormFloat64())
		got := learnResponse(observations(straight(rng, 9, k, g, []float64{1, 1.125, 1.25, 1.375})), Default())
		if !got.Learned || got.Settings != 4 || got.Passes != 9 {
			t.Fatalf("got %+v", got)
		}
		if math.Abs(got.PerTurn-g) < engine.CoverageFactor*got.PerTurnSD {
			inside++
		}
		wide += got.PerTurnSD / machines
	}
	t.Logf("inside two deviations in %d of %d; deviation %.0f rpm a turn", inside, machines, wide)
	if inside < machines*90/100 || wide > 600 {
		t.Errorf("inside two deviations in %d of %d; deviation %.0f rpm a turn", inside, machines, wide)
	}
}

// TestNotLearned: two settings, however often, teach nothing of a turn; common
// practice stands, and is wide.
func TestNotLearned(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 5))
	for _, settings := range [][]float64{{1.25}, {1.25, 1.375}, {1.25, 1.26, 1.375, 1.38}} {
		passes := straight(rng, 12, 100, -2200, settings)
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
