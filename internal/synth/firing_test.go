package synth

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
)

// line gives the amplitude of the strengths at an order, in the angle domain:
// working cycles as impulses one revolution apart.
func line(burns []Cycle, order float64) float64 {
	var re, im float64
	for k, b := range burns {
		s, c := math.Sincos(2 * math.Pi * order * float64(k))
		re += b.Strength * c
		im += b.Strength * s
	}
	return math.Hypot(re, im) / float64(len(burns))
}

func TestAlternatingFiringHasItsHalfOrder(t *testing.T) {
	// Source: facts.md 4.2, impulses alternating a, b: |a-b|/(a+b).
	tests := []struct{ depth, want float64 }{
		{0.9, 0.0526}, {0.8, 0.1111}, {0.7, 0.1765}, {0.5, 0.3333}, {0.25, 0.6}, {0, 1},
	}
	for _, tt := range tests {
		burns := still(Steady(12000, 1), Every(2, tt.depth)).Run().Cycles[:198]
		if got := line(burns, 0.5) / line(burns, 1); math.Abs(got-tt.want) > 0.0001 {
			t.Errorf("b/a = %v: half order over order 1 = %.4f, want %.4f", tt.depth, got, tt.want)
		}
	}
}

func TestPatternsHaveTheirLines(t *testing.T) {
	for n := 1; n <= 4; n++ {
		burns := still(Steady(12000, 1), Every(n, 0.3)).Run().Cycles[:192] // divisible by 1, 2, 3, 4
		one := line(burns, 1)
		for k := 1; k < 12; k++ { // order k/12
			got := line(burns, float64(k)/12) / one
			if on := k*n%12 == 0; on != (got > 0.01) {
				t.Errorf("every %d: line at order %d/12 is %.4f of order 1", n, k, got)
			}
		}
	}
}

func TestChainOfMissesHasItsCorrelation(t *testing.T) {
	// Source: facts.md 4.2, two-state chain: lag-1 correlation 1-q-r, share of
	// misses q/(q+r).
	tests := []struct{ q, r float64 }{{0.3, 0.7}, {0.1, 0.1}, {0.8, 0.9}, {0.5, 0.2}}
	for _, tt := range tests {
		f := Clean()
		f.MissAfterFire, f.FireAfterMiss = tt.q, tt.r
		burns := still(Steady(15000, 80), f).Run().Cycles
		n := float64(len(burns))
		mean := 0.0
		for _, b := range burns {
			if b.Fired {
				mean += 1 / n
			}
		}
		var variance, lag, last float64
		for i, b := range burns {
			x := -mean
			if b.Fired {
				x++
			}
			variance += x * x
			if i > 0 {
				lag += x * last
			}
			last = x
		}
		const tolerance = 0.03 // four standard errors of a correlation of 20,000 draws
		if got, want := lag/variance, 1-tt.q-tt.r; math.Abs(got-want) > tolerance {
			t.Errorf("q %v r %v: lag-1 correlation %.3f, want %.3f", tt.q, tt.r, got, want)
		}
		if got, want := 1-mean, tt.q/(tt.q+tt.r); math.Abs(got-want) > tolerance {
			t.Errorf("q %v r %v: share of misses %.3f, want %.3f", tt.q, tt.r, got, want)
		}
	}
}

func TestMixedFiringKeepsItsShares(t *testing.T) {
	f := Mixed(0.05, 0.4, Mode{1, 0.5}, Mode{2, 0.3}, Mode{3, 0.2})
	r := still(Steady(13000, 120), f).Run()
	for _, m := range f.Modes {
		const tolerance = 0.04 // 2,400 draws of a share: four standard errors
		if got := r.Share(m.Every, 0, 120); math.Abs(got-m.Share) > tolerance {
			t.Errorf("every %d: share %.3f, want %.3f", m.Every, got, m.Share)
		}
	}
}

// gaps counts the working cycles from one firing to the next.
func gaps(burns []Cycle) (count map[int]int, all int) {
	count = map[int]int{}
	last := -1
	for i, b := range burns {
		if !b.Fired {
			continue
		}
		if last >= 0 {
			count[i-last]++
			all++
		}
		last = i
	}
	return count, all
}

// Source of what is wanted: the words of Firing.Slip; two in three slips are late.
func TestSlipsComeAsOftenAsTheyShould(t *testing.T) {
	f := Every(2, 0.3)
	f.Slip = 0.3
	count, all := gaps(still(Steady(12000, 60), f).Run().Cycles)
	for gap, want := range map[int]float64{1: 0.1, 2: 0.7, 3: 0.2} {
		const tolerance = 0.025 // four standard errors of 6,000 draws
		if got := float64(count[gap]) / float64(all); math.Abs(got-want) > tolerance {
			t.Errorf("a firing %d cycles after the last: %.3f of all, want %.3f", gap, got, want)
		}
	}
}

func TestShuffledFiringKeepsItsShares(t *testing.T) {
	f := Mixed(0, 0.3, Mode{1, 0.2}, Mode{2, 0.5}, Mode{3, 0.3})
	f.Shuffle = true
	count, all := gaps(still(Steady(12000, 60), f).Run().Cycles)
	for _, m := range f.Modes {
		const tolerance = 0.025
		if got := float64(count[m.Every]) / float64(all); math.Abs(got-m.Share) > tolerance {
			t.Errorf("a firing %d cycles after the last: %.3f of all, want %.3f", m.Every, got, m.Share)
		}
	}
}

func TestStrengthHasItsMemory(t *testing.T) {
	for _, want := range []float64{-0.5, 0, 0.6} {
		f := Clean()
		s := still(Steady(15000, 60), f)
		s.Firing[0].Spread, s.Firing[0].Memory = 0.1, want
		var mean, variance, lag, last float64
		burns := s.Run().Cycles
		for _, b := range burns {
			mean += b.Strength / float64(len(burns))
		}
		for i, b := range burns {
			x := b.Strength - mean
			variance += x * x
			if i > 0 {
				lag += x * last
			}
			last = x
		}
		const tolerance = 0.035 // four standard errors of a correlation of 15,000 draws
		if got := lag / variance; math.Abs(got-want) > tolerance {
			t.Errorf("lag-1 correlation of strength %.3f, want %.3f", got, want)
		}
	}
}

func TestRaggedFiringHasNoPeriod(t *testing.T) {
	r := still(Steady(13000, 1), Ragged(0.3, 0.3)).Run()
	if got := r.FiresAt(0.5); got != 0 {
		t.Errorf("FiresAt = %d for random misses, want 0: no pattern to hear", got)
	}
}

func TestCutsHoldTheCeiling(t *testing.T) {
	f := Clean()
	f.Cuts = &Cuts{Ceiling: 12600, Block: 10, Lost: 3}
	s := still(Steady(13400, 3), f)
	s.Wander = FieldWander()
	r := s.Run()
	lost := 0
	for _, b := range r.Cycles {
		if b.Cut {
			lost++
		}
	}
	if got := float64(lost) / float64(len(r.Cycles)); math.Abs(got-0.3) > 0.01 {
		t.Errorf("share of sparks cut = %.3f, want 0.3", got)
	}
	for _, m := range r.OperatingPoints {
		if math.Abs(float64(m.Speed)/12600-1) > 0.015 {
			t.Fatalf("speed %v with a ceiling of 12600", m.Speed)
		}
	}
	if r.FiresAt(1) != 0 || !r.CutAt(1, 0.1) {
		t.Error("cutting at the ceiling must be told as cuts, not as four-stroking")
	}
}

// Whatever the rule, a firing fires by its pattern and strengths stay sane.
func TestFiringProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		every := rapid.IntRange(1, 4).Draw(t, "every")
		depth := rapid.Float64Range(0, 1).Draw(t, "depth")
		s := NewScene(rapid.Uint64().Draw(t, "seed"), Steady(11000, 1), Always(Every(every, depth)))
		r := s.Run()
		count := 0
		for i, b := range r.Cycles {
			if b.Strength < 0 || b.Strength > 3 {
				t.Fatalf("strength %v", b.Strength)
			}
			if b.Fired {
				if count > 0 && i-count != every {
					t.Fatalf("fired at %d and %d, want every %d", count, i, every)
				}
				count = i
			}
		}
		if got := r.SteadyAt(0.5, 0.1); got != every {
			t.Fatalf("SteadyAt = %d, want %d", got, every)
		}
		if got, want := r.Sustained(0.5), engine.RPM(11000); math.Abs(float64(got/want-1)) > 0.08 {
			t.Fatalf("Held = %v, want near %v", got, want)
		}
	})
}
