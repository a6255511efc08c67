package pass_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/shaft"
)

// wild draws a track as no tracker would give it: any numbers at all.
func wild(t *rapid.T) shaft.Track {
	number := rapid.OneOf(
		rapid.Float64Range(0, 20000),
		rapid.Float64(),
		rapid.SampledFrom([]float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, math.SmallestNonzeroFloat64}),
	)
	point := rapid.Custom(func(t *rapid.T) shaft.Point {
		return shaft.Point{
			At: engine.Seconds(number.Draw(t, "at")), Speed: engine.RPM(number.Draw(t, "speed")), SD: engine.RPM(number.Draw(t, "sd")),
			Confidence: number.Draw(t, "confidence"), Fires: shaft.Firing(rapid.Uint8().Draw(t, "fires")),
			Alternative: engine.RPM(number.Draw(t, "other")), AlternativeShare: number.Draw(t, "share"),
		}
	})
	return shaft.Track{Hop: engine.Seconds(number.Draw(t, "hop")), Points: rapid.SliceOfN(point, 0, 120).Draw(t, "points")}
}

// messy draws a track of speeds, gaps and leaps on an even grid.
func messy(t *rapid.T) shaft.Track {
	b := passtest.New(rapid.Uint64().Draw(t, "seed"))
	for range rapid.IntRange(0, 8).Draw(t, "parts") {
		noise := rapid.SampledFrom([]float64{0, 0.002, 0.02, 0.3}).Draw(t, "noise")
		b.Noise(noise, noise).Fires(shaft.Firing(rapid.IntRange(0, 4).Draw(t, "fires")))
		d := engine.Seconds(rapid.Float64Range(0.02, 2).Draw(t, "length"))
		from, to := rapid.Float64Range(1200, 18000).Draw(t, "from"), rapid.Float64Range(1200, 18000).Draw(t, "to")
		switch rapid.IntRange(0, 3).Draw(t, "part") {
		case 0:
			b.Quiet(d)
		case 1:
			b.Hold(d, engine.RPM(from))
		case 2:
			b.Ramp(d, engine.RPM(from), engine.RPM(to))
		case 3:
			b.Swing(d, engine.RPM(from), engine.RPM(from/8), 0.5)
		}
	}
	return b.Build()
}

func TestAnyTrack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := pass.Summarise(wild(t), nil, bench, pass.Default())
		for _, p := range s.Phases {
			if math.IsNaN(float64(p.Median)) || math.IsInf(float64(p.Median), 0) {
				t.Errorf("phase %+v", p)
			}
		}
		e := s.Evidence
		for _, v := range []engine.RPM{e.Fastest.Speed, e.Fastest.SD, e.LowerBound.Speed, e.UpperBound.Speed, e.WeakUpperBound.Speed} {
			if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) || v < 0 {
				t.Errorf("evidence %+v", e)
			}
		}
	})
}

func TestMessyTracks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		track := messy(t)
		s := pass.Summarise(track, nil, bench, pass.Default())
		checkPartition(t, track, s.Phases)
		e := s.Evidence
		if e.Fastest.Speed > max(e.UpperBound.Speed, e.WeakUpperBound.Speed) || e.LowerBound.Speed > max(e.UpperBound.Speed, e.WeakUpperBound.Speed) {
			t.Errorf("bounds out of order: %+v", e)
		}
		for _, p := range s.Plateaus {
			var sum float64
			for _, f := range p.Firing {
				sum += f
			}
			if sum != 0 && math.Abs(sum-1) > 1e-9 {
				t.Errorf("shares of firing add up to %v", sum)
			}
			if p.Sustained.Speed > s.TopEnd.Sustained.Speed && (!p.Doubted || s.TopEnd.Doubted) {
				t.Errorf("the top end %+v is slower than a plateau %+v", s.TopEnd, p)
			}
		}
	})
}

// Silence before a pass moves it in time and changes nothing else.
func TestShift(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		track := messy(t)
		if len(track.Points) == 0 {
			return
		}
		by := engine.Seconds(rapid.IntRange(1, 500).Draw(t, "points")) * passtest.Hop
		later := shaft.Track{Hop: track.Hop}
		for _, p := range track.Points {
			p.At += by
			later.Points = append(later.Points, p)
		}
		a := pass.Summarise(track, nil, bench, pass.Default())
		b := pass.Summarise(later, nil, bench, pass.Default())
		if len(a.Phases) != len(b.Phases) {
			t.Fatalf("%d phases became %d", len(a.Phases), len(b.Phases))
		}
		for i, p := range a.Phases {
			q := b.Phases[i]
			if p.Kind != q.Kind || math.Abs(float64(p.From+by-q.From)) > 1e-6 || math.Abs(float64(p.Median-q.Median)) > 1e-6 {
				t.Errorf("phase %v became %v", p, q)
			}
		}
	})
}

// With larger standard deviations the bounds only move apart, and the phases
// stay where they are.
func TestUncertaintyWidens(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		track := messy(t)
		before := pass.Summarise(track, nil, bench, pass.Default())
		by := engine.RPM(rapid.Float64Range(1, 20).Draw(t, "factor"))
		for i := range track.Points {
			track.Points[i].SD *= by
		}
		after := pass.Summarise(track, nil, bench, pass.Default())
		if !slices.Equal(before.Phases, after.Phases) {
			t.Errorf("phases %v became %v", before.Phases, after.Phases)
		}
		if a, b := before.Evidence, after.Evidence; b.LowerBound.Speed > a.LowerBound.Speed || max(b.UpperBound.Speed, b.WeakUpperBound.Speed) < a.UpperBound.Speed {
			t.Errorf("bounds %v became %v", a, b)
		}
	})
}
