package verdict

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/shaft"
)

// drawPass draws one or two passes at full throttle with any firing, noise,
// gaps and second readings.
func drawPass(t *rapid.T) shaft.Track {
	b := passtest.New(rapid.Uint64().Draw(t, "seed"))
	b.Hold(engine.Seconds(rapid.Float64Range(0, 2).Draw(t, "idle")), 2800)
	for range rapid.IntRange(1, 2).Draw(t, "passes") {
		top := engine.RPM(rapid.Float64Range(7000, 15000).Draw(t, "top"))
		noise := rapid.SampledFrom([]float64{0.001, 0.004, 0.015, 0.04}).Draw(t, "noise")
		b.Fires(1).Noise(0.002, 0.002).Ramp(0.4, 2800, top).Noise(noise, noise*rapid.SampledFrom([]float64{0.5, 1, 2}).Draw(t, "claim"))
		for range rapid.IntRange(1, 3).Draw(t, "parts") {
			b.Fires(drawFiring(t)...)
			d := engine.Seconds(rapid.Float64Range(0.1, 3).Draw(t, "length"))
			switch rapid.IntRange(0, 4).Draw(t, "part") {
			case 0:
				b.Hold(d, top*0.7)
			case 1:
				b.Quiet(min(d, 0.6))
			case 2:
				b.Hold(d, top).Other(rapid.SampledFrom([]float64{0.5, 2, 1.5}).Draw(t, "ratio"), rapid.Float64Range(0, 0.5).Draw(t, "share"))
			default:
				b.Hold(d, top)
			}
		}
		b.Fires(1).Noise(0.002, 0.002).Ramp(0.8, top, 2800).Hold(1, 2800)
	}
	return b.Build()
}

func drawFiring(t *rapid.T) []shaft.Firing {
	return rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 3), func(n int) shaft.Firing { return shaft.Firing(n) }), 1, 6).Draw(t, "fires")
}

func judge(track shaft.Track, q engine.Machine) Verdict {
	return Judge(pass.Summarise(track, nil, q, pass.Default()), q, quality.Quality{}, Default())
}

// Raising the limit never turns a safe verdict into a worse one, but where the limit
// becomes so high that it does not fit the speed, nor any into one about the limit, but
// where it was so low that it did not fit.
func TestRaisingTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		track := drawPass(t)
		limit := engine.RPM(rapid.Float64Range(6000, 16000).Draw(t, "limit"))
		higher := limit * engine.RPM(rapid.Float64Range(1, 3).Draw(t, "factor"))
		a, b := judge(track, saw(limit)), judge(track, saw(higher))
		s := pass.Summarise(track, nil, saw(higher), pass.Default())
		most := limit * engine.RPM(Default().MisfitOver)
		if s.Evidence.LowerBound.Speed > most || b.Alternative > most {
			return
		}
		top := s.TopEnd
		fits := top == nil || top.Sustained.Speed >= engine.RPM(Default().NeedsIdle)*higher
		if safe(a.Code) && !safe(b.Code) && fits || b.Code.Danger() > max(a.Code.Danger(), CleanBelowLimit.Danger()) {
			t.Errorf("%s at %v becomes %s at %v\n  %s\n  %s", a.Code, limit, b.Code, higher, a.Says, b.Says)
		}
	})
}

// Adding uncertainty never calls something safe, or even under the limit, that
// was not called so before.
func TestAddingUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		track := drawPass(t)
		q := saw(engine.RPM(rapid.Float64Range(6000, 16000).Draw(t, "limit")))
		before := judge(track, q)
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0: // wider readings
			by := engine.RPM(rapid.Float64Range(1, 10).Draw(t, "factor"))
			for i := range track.Points {
				track.Points[i].SD *= by
			}
		case 1: // second readings
			ratio := engine.RPM(rapid.SampledFrom([]float64{0.5, 2}).Draw(t, "ratio"))
			share := rapid.Float64Range(0, 0.5).Draw(t, "share")
			for i := range track.Points {
				if p := &track.Points[i]; p.AlternativeShare <= share {
					p.Alternative, p.AlternativeShare = p.Speed*ratio, share
				}
			}
		case 2: // no firing told at all
			for i := range track.Points {
				track.Points[i].Fires = 0
			}
		}
		after := judge(track, q)
		if safe(after.Code) && !safe(before.Code) {
			t.Errorf("%s becomes %s\n  %s\n  %s", before.Code, after.Code, before.Says, after.Says)
		}
		if after.Code == CleanBelowLimit && before.Code.Danger() > CleanBelowLimit.Danger() {
			t.Errorf("%s becomes %s\n  %s\n  %s", before.Code, after.Code, before.Says, after.Says)
		}
	})
}

func safe(c Code) bool { return c.Danger() == 0 }

// Cutting a clip never turns not-enough into a safe verdict. It holds for a
// pass of one kind throughout: where a part with poor evidence is cut off from
// one with good evidence, what is left is a better clip.
func TestCutting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := passtest.New(rapid.Uint64().Draw(t, "seed"))
		// Shares well away from the thresholds, in patterns shorter than any
		// stretch that counts.
		fires := rapid.SampledFrom([][]shaft.Firing{{2}, {1}, {0}, {0, 0, 0, 2}, {2, 2, 3, 0}, {1, 1, 1, 2}, {0, 0, 1, 0}}).Draw(t, "fires")
		share := rapid.SampledFrom([]float64{0, 0.2, 0.6}).Draw(t, "share")
		ratio := rapid.SampledFrom([]float64{0.5, 2}).Draw(t, "ratio")
		top := engine.RPM(rapid.Float64Range(8000, 14000).Draw(t, "top"))
		length := engine.Seconds(rapid.Float64Range(0.2, 3).Draw(t, "length"))
		track := b.Hold(2, 2800).Ramp(0.4, 2800, top).Fires(fires...).Hold(length, top).Other(ratio, share).
			Fires(1).Ramp(0.8, top, 2800).Hold(2, 2800).Build()
		from := rapid.IntRange(0, len(track.Points)).Draw(t, "from")
		to := rapid.IntRange(from, len(track.Points)).Draw(t, "to")
		part := shaft.Track{Hop: track.Hop, Points: track.Points[from:to]}

		whole, cut := judge(track, saw(13500)), judge(part, saw(13500))
		if whole.Code.Danger() == NotEnough.Danger() && safe(cut.Code) {
			t.Errorf("%s becomes %s\n  %s\n  %s", whole.Code, cut.Code, whole.Says, cut.Says)
		}
	})
}

// No pass above the limit for half a second is called anything safer than at
// the limit, whatever else is in it.
func TestOverIsNeverHidden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		track := drawPass(t)
		over := passtest.New(rapid.Uint64().Draw(t, "seed")).Fires(drawFiring(t)...).Hold(0.56, 13900).Build()
		last := len(track.Points)
		for _, p := range over.Points {
			p.At += engine.Seconds(last) * passtest.Hop
			track.Points = append(track.Points, p)
		}
		if v := judge(track, saw(13500)); v.Code != OverLimit && v.Code != AtLimit {
			t.Errorf("%s: %s", v.Code, v.Says)
		}
	})
}

// Judge takes any summary and any limits.
func TestAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.SampledFrom([]float64{-1, 0, 1, 2800, 13500, 1e9, math.NaN(), math.Inf(1)})
		limits := engine.Limits{Max: engine.RPM(number.Draw(t, "max")), Idle: engine.RPM(number.Draw(t, "idle")), Clutch: engine.RPM(number.Draw(t, "clutch"))}
		q := engine.Machine{Spec: engine.Spec{Strokes: rapid.IntRange(0, 5).Draw(t, "strokes")}, Limits: limits}
		v := judge(drawPass(t), q)
		if v.Code == "" || v.Says == "" || len(v.Cautions) == 0 || len(v.Advice) == 0 {
			t.Errorf("verdict %+v", v)
		}
		if v = Judge(pass.Summary{}, q, quality.Quality{}, Default()); v.Code != NoEngine {
			t.Errorf("an empty summary gives %s", v.Code)
		}
	})
}

// What is said under the limit names the top speed that the figures beside it show, or one
// that is the same: of a slower run alone a reader would not know which counts.
func TestSaysTopSpeed(t *testing.T) {
	figures := regexp.MustCompile(`[0-9]{1,2},[0-9]{3}`)
	rapid.Check(t, func(t *rapid.T) {
		track, q := drawPass(t), saw(engine.RPM(rapid.Float64Range(6000, 16000).Draw(t, "limit")))
		s, v := pass.Summarise(track, nil, q, pass.Default()), judge(track, q)
		doubted := slices.ContainsFunc([]string{"are so uncertain", "seems to have run", "further than a shaft can"}, func(says string) bool { return strings.Contains(v.Says, says) })
		if s.TopEnd == nil || v.Code.Danger() == OverLimit.Danger() || doubted {
			return
		}
		for _, figure := range figures.FindAllString(v.Says, -1) {
			speed, err := strconv.ParseFloat(strings.ReplaceAll(figure, ",", ""), 64)
			if err == nil && math.Abs(speed-float64(s.TopEnd.Sustained.Speed)) <= 10+Default().SameSpeed*speed {
				return
			}
		}
		t.Errorf("the top speed is %s: %s: %s", number(s.TopEnd.Sustained.Speed), v.Code, v.Says)
	})
}
