package verdict

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

// sideOf judges a pass and makes it a side of a comparison.
func sideOf(e example) Side {
	s := e.summary()
	return Side{Summary: s, Code: Judge(s, e.query, quality.Quality{}, Default()).Code}
}

func sidePass(seed uint64, top engine.RPM, fires ...shaft.Firing) Side {
	return sideOf(example{track: level(seed, top, 3, fires...), query: saw(13500)})
}

// TestCompare: what a technician would say of two passes at full throttle.
//
// Source of the wanted words: faster and cleaner is leaner, slower and more
// four-stroking richer (common practice); a mixture leaner than the best loses
// speed (synth.Saw, after the torque curve of any spark engine), so clean passes
// of different speed cannot be told apart.
func TestCompare(t *testing.T) {
	four, clean := sidePass(1, 12700, 2), sidePass(2, 13200, 1)
	spark := clean
	spark.Code = SparkLimited
	none := Side{Code: NoEngine}
	fourStroke := saw(13500)
	fourStroke.Spec.Strokes = 4
	for _, c := range []struct {
		name          string
		first, second Side
		query         engine.Machine
		want          Mixture
		says          []string
	}{
		{"faster and clean", four, clean, saw(13500), Leaner, []string{"the second runs 500 ± 50 rpm faster than the first", "four-strokes less: 0 % of the time, the first 98 %", "So it is leaner."}},
		{"slower and four-stroking", clean, four, saw(13500), Richer, []string{"500 ± 50 rpm slower", "four-strokes more: 98 % of the time, the first 0 %", "So it is richer."}},
		{"the same setting twice", four, sidePass(3, 12700, 2), saw(13500), Alike, []string{"runs as fast as the first", "Both four-stroke. The mixture is about the same."}},
		{"as fast, but clean", four, sidePass(3, 12700, 1), saw(13500), Leaner, []string{"runs as fast as the first", "So it is leaner."}},
		{"faster, both four-stroking", four, sidePass(4, 13100, 2), saw(13500), Leaner, []string{"leaner, or its chain or tool drags less"}},
		{"slower, both four-stroking", four, sidePass(4, 12100, 2), saw(13500), Richer, []string{"richer, or its chain or tool drags more"}},
		{"slower, both clean", clean, sidePass(5, 12600, 1), saw(13500), Unclear, []string{"do not take it for richer"}},
		{"faster, both clean", sidePass(5, 12600, 1), clean, saw(13500), Unclear, []string{"cannot be told apart by their speed"}},
		{"faster, yet four-stroking", sidePass(5, 12600, 1), sidePass(6, 13000, 2), saw(13500), Unclear, []string{"No screw alone"}},
		{"slower, yet clean", sidePass(6, 13000, 2), sidePass(5, 12600, 1), saw(13500), Unclear, []string{"Do not take that for richer"}},
		{"over the limit", four, sidePass(7, 14000, 1), saw(13500), Leaner, []string{"Too fast: the second is at or over the limit."}},
		{"both over the limit", sidePass(8, 14200, 1), sidePass(7, 14000, 1), saw(13500), Unclear, []string{"Too fast: both are at or over the limit."}},
		{"firing not told", four, sidePass(9, 13300, 0), saw(13500), Unclear, []string{"there is not enough to judge in the second"}},
		{"held back", four, spark, saw(13500), Unclear, []string{"the ignition holds the speed in the second"}},
		{"held back before", spark, four, saw(13500), Unclear, []string{"the ignition holds the speed in the first"}},
		{"no engine", four, none, saw(13500), Unclear, []string{"no engine was heard in the second"}},
		{"a four-stroke", four, clean, fourStroke, Unclear, []string{"500 ± 50 rpm", "The mixture of a four-stroke engine cannot be told"}},
	} {
		got := Compare(c.first, c.second, "the second", c.query, Default())
		if d := got.Differences[0]; d.Means != "" && strings.HasPrefix(got.Says, "Nothing can be concluded") {
			t.Errorf("%s: nothing can be concluded, yet it is %s", c.name, d.Means)
		}
		if d := got.Differences[1]; d.Told && c.query.Spec.Strokes == 4 {
			t.Errorf("%s: the four-stroking of a four-stroke engine is compared: %+v", c.name, d)
		}
		if told := got.Mixture != Unclear; told != strings.Contains(got.Why, " rpm off and adds burble (common practice).") {
			t.Errorf("%s: %s: why: %q", c.name, got.Says, got.Why)
		}
		if strings.Count(got.Why, ". ") > 1 {
			t.Errorf("%s: more than two sentences: %q", c.name, got.Why)
		}
		if got.Mixture != c.want {
			t.Errorf("%s: %s, want %s: %s", c.name, got.Mixture, c.want, got.Says)
		}
		for _, words := range c.says {
			if !strings.Contains(got.Says, words) {
				t.Errorf("%s: %q lacks %q", c.name, got.Says, words)
			}
		}
	}
}

// TestCompareFigures: every figure that both passes have is compared, and each
// that differs has a meaning.
func TestCompareFigures(t *testing.T) {
	first := sideOf(example{track: withCut(1, 1), query: saw(13500)})
	second := sideOf(example{track: withCut(2, 2), query: saw(13500)})
	seen := map[Compared]Difference{}
	for _, d := range Compare(first, second, "the second", saw(13500), Default()).Differences {
		seen[d.Figure] = d
		if d.Told != (d.First != nil && d.Second != nil) {
			t.Errorf("%s: told is %v", d.Figure, d.Told)
		}
		if (d.Sign() != 0) != (d.Means != "") {
			t.Errorf("%s differs by %v ± %v and means %q", d.Figure, d.By, d.SD, d.Means)
		}
	}
	for _, f := range []Compared{ComparedHeld, ComparedFour, ComparedIdle, ComparedRise, ComparedSag, ComparedFall, ComparedHang, ComparedCut, ComparedCutFour} {
		if !seen[f].Told {
			t.Errorf("%s was not compared", f)
		}
	}
	if d := seen[ComparedCutFour]; d.Sign() != 1 || math.Abs(d.By-1) > 0.15 {
		t.Errorf("clean in the cut, then four-stroking in it: %+v", d)
	}
	if d := seen[ComparedHeld]; d.Sign() != 0 {
		t.Errorf("the same top speed differs: %+v", d)
	}
	none := Compare(first, Side{Code: NoEngine}, "the second", saw(13500), Default())
	for _, d := range none.Differences {
		if d.Told || d.Sign() != 0 || d.Means != "" {
			t.Errorf("compared with nothing, %s is %+v", d.Figure, d)
		}
	}
}

// TestCompareTurnedRound: held the other way round, every difference changes its
// sign, leaner becomes richer, and nothing else changes.
func TestCompareTurnedRound(t *testing.T) {
	round := map[Mixture]Mixture{Leaner: Richer, Richer: Leaner, Alike: Alike, Unclear: Unclear}
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string) Side {
			top := engine.RPM(rapid.Float64Range(11000, 14500).Draw(rt, name))
			fires := shaft.Firing(rapid.IntRange(0, 3).Draw(rt, name+" fires"))
			return sidePass(rapid.Uint64Range(1, 50).Draw(rt, name+" seed"), top, fires, shaft.Firing(rapid.IntRange(1, 2).Draw(rt, name+" and")))
		}
		a, b := draw("first"), draw("second")
		there := Compare(a, b, "the second", saw(13500), Default())
		back := Compare(b, a, "the second", saw(13500), Default())
		if back.Mixture != round[there.Mixture] {
			rt.Fatalf("%s one way, %s the other: %s / %s", there.Mixture, back.Mixture, there.Says, back.Says)
		}
		for i, d := range there.Differences {
			if e := back.Differences[i]; d.By != -e.By || d.SD != e.SD || d.Sign() != -e.Sign() {
				rt.Fatalf("%s: %+v one way, %+v the other", d.Figure, d, e)
			}
		}
	})
}

// TestCompareSimulatedSaws holds what is said of two settings of one simulated
// saw to how its screw was really turned: the opposite must never be said, and
// most differences of three eighths of a turn must be told. Tracks are true
// ones, so what is wrong here is wrong in the rules.
func TestCompareSimulatedSaws(t *testing.T) {
	told, apart, same := 0, 0, 0
	for seed := range uint64(12) {
		s := synth.DrawSaw(seed)
		s.Ceiling = 0 // a limited coil is told of by its own verdict
		limits := synth.Limits{Max: 13500, Idle: 2800, Clutch: 3800}
		q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits(limits)}
		sweep := synth.Sweep(s, 0, limits, seed*100)
		var sides []Side
		for i := 0; i < len(sweep); i += 3 {
			run := sweep[i].Run()
			sum := pass.Summarise(passtest.TrackOf(run), passtest.CyclesOf(run), q, pass.Default())
			sides = append(sides, Side{sum, Judge(sum, q, quality.Quality{}, Default()).Code})
		}
		for i := range sides {
			for j := i + 1; j < len(sides); j++ { // each is leaner than those before
				c := Compare(sides[i], sides[j], "the second", q, Default())
				apart++
				switch c.Mixture {
				case Leaner:
					told++
				case Richer:
					t.Errorf("seed %d: leaned from %.2f to %.2f and called richer: %s", seed, sweep[3*i].Richness, sweep[3*j].Richness, c.Says)
				case Alike:
					same++
				}
			}
		}
	}
	t.Logf("of %d pairs, the second leaner by 3/8 turn or more, %d are called leaner, %d about the same, %d unclear", apart, told, same, apart-told-same)
	if 2*told < apart {
		t.Errorf("only %d of %d pairs are called leaner, want most", told, apart)
	}
}

// TestShareSD measures what Options.ShareSD claims: how far the share of
// four-stroking of one setting differs from one pass to the next.
func TestShareSD(t *testing.T) {
	q := saw(13500)
	var squares, n float64
	for seed := range uint64(10) {
		s := synth.DrawSaw(seed)
		s.Ceiling = 0
		for _, richness := range []float64{1.15, 1.2, 1.25, 1.3} { // where patterns mix
			var shares []float64
			for again := range uint64(2) {
				run := synth.Tune{Saw: s, Richness: richness, Limits: synth.Limits{Max: 13500}, Seed: 1000*again + seed}.Run()
				if top := pass.Summarise(passtest.TrackOf(run), passtest.CyclesOf(run), q, pass.Default()).TopEnd; top != nil {
					four, _ := top.Mixture()
					shares = append(shares, four)
				}
			}
			if len(shares) == 2 {
				squares += (shares[0] - shares[1]) * (shares[0] - shares[1]) / 2
				n++
			}
		}
	}
	sd := math.Sqrt(squares / n)
	t.Logf("over %.0f settings, each passed twice, the share has a standard deviation of %.3f", n, sd)
	if claims := Default().ShareSD; sd > claims || n < 30 {
		t.Errorf("over %.0f settings the standard deviation is %.3f, Options claim %.3f", n, sd, claims)
	}
}
