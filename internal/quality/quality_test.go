package quality

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// codes gives the codes of the problems in their order.
func codes(q Quality) []Code {
	var all []Code
	for _, p := range q.Problems {
		all = append(all, p.Code)
	}
	return all
}

// quietClip is a sound without a fault and without a sound.
func quietClip(length engine.Seconds) *clip.Sound {
	n := int(float64(length) * float64(rate))
	return &clip.Sound{
		Info: clip.Info{Duration: length, SampleRate: rate, PeakLevel: 0.5, LowEdge: 40, HighEdge: 4000},
		Rate: rate, Samples: make(audio.Memory, n),
	}
}

// TestFile: what is known from the file alone.
func TestFile(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*clip.Info)
		want   []Code
	}{
		"nothing wrong":    {func(*clip.Info) {}, nil},
		"clipped":          {func(i *clip.Info) { i.ClippedPct = 2 }, []Code{Clipping}},
		"stray peaks":      {func(i *clip.Info) { i.ClippedPct = 0.1 }, nil},
		"silent":           {func(i *clip.Info) { i.PeakLevel, i.LowEdge, i.HighEdge = 0, 0, 0 }, []Code{TooQuiet}},
		"eight steps":      {func(i *clip.Info) { i.PeakLevel = 8.0 / (1 << 15) }, []Code{TooQuiet}},
		"soft, but enough": {func(i *clip.Info) { i.PeakLevel = 60.0 / (1 << 15) }, nil},
		"call":             {func(i *clip.Info) { i.LowEdge, i.HighEdge = 200, 3500 }, []Code{NarrowBand}},
		"wide-band call":   {func(i *clip.Info) { i.LowEdge, i.HighEdge = 50, 7000 }, nil},
		"muffled":          {func(i *clip.Info) { i.HighEdge = 2500 }, []Code{NarrowBand}},
		"all at once": {func(i *clip.Info) {
			i.ClippedPct, i.LowEdge, i.HighEdge, i.PeakLevel, i.Duration = 2, 200, 3500, 8.0/(1<<15), 2
		}, []Code{TooQuiet, NarrowBand, Clipping}},
	} {
		s := quietClip(6)
		c.change(&s.Info)
		if got := codes(must(assess(s, shaft.Track{Hop: 0.02}, engine.TwoStrokeSingle)).Judge(nil)); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// TestDiscount: readings become less sure where a problem calls for it, never
// surer, and their speeds and deviations stay. Where another engine's lines lie as
// those of missed firings do, four-stroking is not told.
func TestDiscount(t *testing.T) {
	m := render(scene(1))
	weak := func(m made) shaft.Track {
		return must(assess(m.recorded(t), m.track, engine.TwoStrokeSingle)).Discount(m.track)
	}
	o := Default()
	for name, made := range map[string]made{
		"plain": m, "clipped": m.peak(10), "noise": m.beside(1, 0, pinkNoise), "another engine": m.beside(1, 3, otherEngine),
	} {
		for i, p := range weak(made).Points {
			was := made.track.Points[i]
			if p.Speed != was.Speed || p.SD != was.SD || p.Confidence != was.Confidence {
				t.Fatalf("%s, point %d: %+v of %+v", name, i, p, was)
			}
		}
	}
	// Beside another engine, a track that never idles may be the other engine's.
	h := Assessment{opt: o, told: 5, alongTrack: alongTrack{steady: interferer{height: 9, prominence: 20, speed: 7600}}}
	if p := h.Discount(m.track).Points[100]; p.Confidence != o.MistakenShare*m.track.Points[100].Confidence {
		t.Errorf("what may be another engine is believed with %.2f", p.Confidence)
	}
	for speed, told := range map[engine.RPM]bool{7600 * 3 / 2: false, 7600 * 2: false, 7600 * 4 / 3: false, 7600: true, 7600 * 1.2: true} {
		for fires, stays := range map[shaft.Firing]bool{1: true, 3: told} {
			one := shaft.Track{Hop: 0.02, Points: []shaft.Point{{Speed: speed, Fires: fires, MissEvidence: 1}}}
			if p := h.Discount(one).Points[0]; p.Fires.Told() != stays || (p.MissEvidence != 0) != stays {
				t.Errorf("%v rpm beside %v: firing %d told as %d, evidence %v", speed, h.interferer().speed, fires, p.Fires, p.MissEvidence)
			}
		}
	}
}

// TestProperties: whatever the sound and the track, assessing gives problems
// with sentences, the most harmful first, each once, and figures that are
// numbers; how loud a sound is does not matter until it is too soft.
func TestProperties(t *testing.T) {
	order := Codes()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 20000).Draw(t, "samples")
		level := rapid.SampledFrom([]float64{0, 0.001, 0.2}).Draw(t, "level")
		f := rapid.Float64Range(20, 400).Draw(t, "pitch")
		x := tones(f, level, level, engine.Seconds(float64(n)/float64(rate)))
		track := shaft.Track{Hop: engine.Seconds(rapid.SampledFrom([]float64{0, 0.02, 0.5}).Draw(t, "hop"))}
		for range rapid.IntRange(0, 200).Draw(t, "points") {
			track.Points = append(track.Points, shaft.Point{
				Speed: engine.RPM(rapid.SampledFrom([]float64{0, 1200, 2800, 6000, 13000, 18000}).Draw(t, "speed")), Fires: shaft.Firing(rapid.IntRange(0, 4).Draw(t, "fires")),
			})
		}
		s := &clip.Sound{Info: clip.Info{PeakLevel: 0.5, LowEdge: 50, HighEdge: 4000}, Rate: rate, Samples: audio.Memory(x)}
		e := rapid.SampledFrom([]engine.Spec{engine.TwoStrokeSingle, {Strokes: 4, Cylinders: 1}, {Strokes: 4, Cylinders: 3}}).Draw(t, "engine")
		h := must(assess(s, track, e))
		q := h.Judge(nil)
		last := -1
		for _, p := range q.Problems {
			at := slices.Index(order, p.Code)
			if at <= last || !sentence.MatchString(p.Says) || !sentence.MatchString(p.Do) || strings.Contains(p.Says, "NaN") {
				t.Errorf("%+v after number %d", p, last)
			}
			last = at
		}
		if q.SNR != nil && math.IsNaN(float64(*q.SNR)) {
			t.Error("the figure is no number")
		}
		for i, p := range h.Discount(track).Points {
			if p.Speed != track.Points[i].Speed {
				t.Errorf("point %d changed", i)
			}
		}
	})
}

// sentence is what a person reads: capital letter, full stop, no double space.
var sentence = regexp.MustCompile(`^[A-Z][^\n]*[^ .]\.$`)

// TestJudgeSorts: what is missing from the pass comes in where its harm puts it.
func TestJudgeSorts(t *testing.T) {
	s := quietClip(6)
	s.Info.ClippedPct, s.Info.PeakLevel = 2, 8.0/(1<<15)
	h := must(assess(s, shaft.Track{Hop: 0.02}, engine.TwoStrokeSingle))
	got := codes(h.Judge([]Problem{{Code: ShortPlateau}, {Code: NoIdle}}))
	if want := []Code{TooQuiet, ShortPlateau, NoIdle, Clipping}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	for _, r := range rules {
		if r.code.rank() < 0 {
			t.Errorf("%s is not among the codes", r.code)
		}
	}
}

// TestDocs: docs/recording.md lists every code, in order, with what to do in the
// words of the program.
func TestDocs(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "recording.md"))
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile("(?m)^\\| `([a-z-]+)` \\| (.+) \\| (.+) \\|$")
	var got []Code
	does := map[Code]string{}
	for _, m := range row.FindAllStringSubmatch(string(page), -1) {
		got = append(got, Code(m[1]))
		does[Code(m[1])] = m[3]
	}
	if !slices.Equal(got, Codes()) {
		t.Errorf("the page lists %v, the codes are %v", got, Codes())
	}
	for _, r := range rules {
		if do := r.says(Assessment{opt: Default()}).Do; does[r.code] != do {
			t.Errorf("%s: the page says %q, the program %q", r.code, does[r.code], do)
		}
	}
}

func ExampleAssessment_Judge() {
	sound := quietClip(6)
	sound.Info.ClippedPct = 3.2
	q := must(assess(sound, shaft.Track{}, engine.TwoStrokeSingle)).Judge(nil)
	for _, p := range q.Problems {
		fmt.Println(p.Code)
		fmt.Println(p.Says, p.Do)
	}
	// Output:
	// clipping
	// The sound is clipped 3.2 % of the time: too loud for the phone. That adds tones that the engine does not make. Put the phone twice as far away, to the side of the machine, out of the exhaust stream.
}
