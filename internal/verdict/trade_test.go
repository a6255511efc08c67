package verdict

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
)

// What a master of the trade corrected, each held by a test. All of it is common
// practice.

// named gives the verdict of one of the examples.
func named(t *testing.T, name string) Verdict {
	t.Helper()
	for _, e := range examples() {
		if e.name == name {
			return e.judge()
		}
	}
	t.Fatalf("no example %q", name)
	return Verdict{}
}

// everything gives all that a reader can see of a verdict.
func everything(v Verdict) string {
	return v.Says + "\n" + strings.Join(v.Advice, "\n") + "\n" + strings.Join(v.Cautions, "\n") + "\n" + Reply(v)
}

// TestBlower: nothing of wood, of a chain or of a screw is said of a blower that runs
// clean under its limit.
func TestBlower(t *testing.T) {
	v := named(t, "a blower, clean under its limit")
	for _, word := range []string{"wood", "chain", "H screw", "in the cut", "ean side", "without load"} {
		if all := everything(v); strings.Contains(all, word) {
			t.Errorf("it says %q:\n%s", word, all)
		}
	}
}

// TestNoCutOfABlower: what dips in the sound of a blower is no cut, and nothing is
// said of one; of a saw with the same sound it is.
func TestNoCutOfABlower(t *testing.T) {
	for kind, want := range map[engine.Kind]bool{engine.Blower: false, engine.Saw: true} {
		v := example{track: withCut(15, 1, 2, 1, 2, 1), query: built(13500, engine.Build{Kind: kind})}.judge()
		found := slices.ContainsFunc(v.Findings, func(f Finding) bool { return f.Code == "partly-rich-in-cut" })
		if found != want {
			t.Errorf("%s: a finding of the cut is %v", kind, found)
		}
	}
}

// TestGovernorCondition: no safe code is given without its condition while it is not
// known whether a governor holds the speed, and that is what is asked. Known not to
// be governed, and in the right state, it depends on nothing.
func TestGovernorCondition(t *testing.T) {
	v := named(t, "nothing known, four-stroking")
	for _, words := range []string{"unless a governor holds it", "a warm engine", "a fully open choke", "a clean air filter"} {
		if !strings.Contains(v.Says, words) {
			t.Errorf("%q lacks %q", v.Says, words)
		}
	}
	if v.Asks != "governor" {
		t.Errorf("it asks for %q", v.Asks)
	}
	m := built(9800, engine.Build{Kind: engine.BrushCutter, Governor: engine.No})
	m.State = ready
	v = example{track: slower(93, 9320, 2), query: m}.judge()
	if v.Code != FourStroking || v.Asks != "" || strings.Contains(v.Says, "unless") || strings.Contains(v.Says, "depends") {
		t.Errorf("%s, asks %q: %s", v.Code, v.Asks, v.Says)
	}
}

// TestEveryConditionIsSaid: for every machine with any fields left open, a field
// whose answer would change the code is named in the sentence or asked for.
func TestEveryConditionIsSaid(t *testing.T) {
	for _, c := range conditions {
		for _, code := range c.of {
			f := &facts{basis: &bases[len(bases)-1]}
			words := f.opening(code, "", "unless a governor holds it") + f.givenWords(code)
			if code == CleanBelowLimit {
				words = f.needNotBeLean()
			}
			if !strings.Contains(words, c.unless) || !strings.Contains(words, c.given) {
				t.Errorf("%s: %q does not say %q%q", code, words, c.unless, c.given)
			}
		}
		if !slices.ContainsFunc(engine.Fields, func(f engine.Field) bool { return f.Name == c.field }) {
			t.Errorf("no field %q", c.field)
		}
	}
}

// TestUnknownIsSaid: whatever is known of a machine, a field that is not known and
// whose answer would make a safe code dangerous, or a lean one none, is named in the
// sentence. What holds the figure that was entered, its shaft and its meaning, is
// asked where it is passed; a saw with screws and no limiting coil is judged as one.
func TestUnknownIsSaid(t *testing.T) {
	t.Parallel()
	words := map[string]string{}
	for _, c := range conditions {
		words[c.field] = c.unless + c.given
	}
	var passes []pass.Summary
	for _, track := range []*passtest.Track{level(52, 12700, 3, 2), level(42, 13200, 3, 1), withCut(50, 2), withCut(53, 1)} {
		passes = append(passes, example{track: track, query: inState(engine.State{})}.summary())
	}
	rapid.Check(t, func(t *rapid.T) {
		q := inState(engine.State{})
		q.Build = engine.Build{}
		for _, f := range engine.Fields {
			if f.Choices == nil || strings.HasPrefix(f.Name, "limit") {
				continue
			}
			if err := f.Set(&q, rapid.SampledFrom(append([]string{"", ""}, f.Choices...)).Draw(t, f.Name)); err != nil {
				t.Fatal(err)
			}
		}
		s := passes[rapid.IntRange(0, len(passes)-1).Draw(t, "pass")]
		v := Judge(s, q, quality.Quality{}, Default())
		if !slices.Contains([]Code{FourStroking, RichInCut, CleanBelowLimit}, v.Code) || plain(q) {
			return // nothing is said of its mixture, or it is judged as saws always were
		}
		for _, f := range engine.Fields {
			if f.Choices == nil || f.Get(q) != "" || strings.HasPrefix(f.Name, "limit") {
				continue
			}
			for _, answer := range f.Choices {
				known := q
				if err := f.Set(&known, answer); err != nil {
					t.Fatal(err)
				}
				other := Judge(s, known, quality.Quality{}, Default()).Code
				matters := other != v.Code && (v.Code == CleanBelowLimit || other.Danger() > 0)
				covered := words["governor"] != "" && strings.Contains(v.Says, words["governor"]) // it decides what a cut-off saw is
				if matters && !covered && (words[f.Name] == "" || !strings.Contains(v.Says, words[f.Name])) {
					t.Fatalf("with %s %s it is %s, not %s, and that is not said: %s", f.Name, answer, other, v.Code, v.Says)
				}
			}
		}
	})
}

// plain reports whether a machine is a saw with screws and no limiting coil.
func plain(q engine.Machine) bool { return (&facts{build: q.Build}).plainSaw() }

// TestPlainSaw: a saw with screws and no limiting coil, recorded as it should be, is
// judged as saws always were, without a condition.
func TestPlainSaw(t *testing.T) {
	m := inState(ready)
	for _, e := range []example{
		{track: level(52, 12700, 3, 2), want: FourStroking}, {track: level(42, 13200, 3, 1), want: CleanBelowLimit},
		{track: withCut(50, 2), want: RichInCut}, {track: level(1, 13900, 3, 1), want: OverLimit},
		{track: level(34, 12800, 3, 2), lost: cutOuts, want: SparkLimited},
	} {
		e.query = m
		if v := e.judge(); v.Code != e.want || v.Asks != "" || strings.Contains(v.Says, "unless") || strings.Contains(v.Says, "depends") {
			t.Errorf("%s, want %s, asks %q: %s", v.Code, e.want, v.Asks, v.Says)
		}
	}
}

// TestFaultBeforeScrew: after lean or over the limit the first steps ask what has
// changed and look for the fault; where leak or starvation was heard, no step opens a
// screw at all.
func TestFaultBeforeScrew(t *testing.T) {
	opens := func(s string) bool { return strings.Contains(s, "open the H screw") || strings.Contains(s, "open H") }
	for _, e := range examples() {
		v := e.judge()
		if v.Code != CleanBelowLimit && v.Code != OverLimit && v.Code != AtLimit || e.query.Spec.Strokes == 4 {
			continue
		}
		if strings.HasPrefix(v.Says, "The limit and the recording do not fit") {
			continue // nothing is turned at all
		}
		changed := slices.Index(v.Advice, whatChanged)
		fault := slices.IndexFunc(v.Advice, func(s string) bool { return strings.HasPrefix(s, "If nothing has changed") })
		screw := slices.IndexFunc(v.Advice, opens)
		if changed < 0 || fault < changed || screw >= 0 && screw < fault {
			t.Errorf("%s: changed %d, fault %d, screw %d: %q", e.name, changed, fault, screw, v.Advice)
		}
	}
	for name, track := range map[string]*passtest.Track{
		"climbs, over the limit":  opened(5, 13600).Ramp(4, 13600, 14200),
		"climbs, lean":            opened(5, 12100).Ramp(4, 12100, 12700),
		"hangs, lean":             opened(7, 12700).Hold(3, 12700).Ramp(0.6, 12700, 3500).Hold(1.5, 3500).Ramp(0.3, 3500, 2800).Hold(2, 2800),
		"surges, lean":            opened(10, 12500).Swing(4, 12500, 700, 0.6),
		"does not return, lean":   opened(1, 12700).Hold(3, 12700).Ramp(0.6, 12700, 5200).Hold(3, 5200),
		"climbs, four-stroking":   opened(5, 12100).Fires(2).Ramp(4, 12100, 12700),
		"surges, over, from idle": opened(11, 14200).Swing(4, 14200, 700, 0.6),
	} {
		v := example{track: track, query: saw(13500)}.judge()
		if i := slices.IndexFunc(v.Advice, opens); i >= 0 {
			t.Errorf("%s (%s): step %d is %q", name, v.Code, i+1, v.Advice[i])
		}
	}
}

// TestLimitIsChecked: the check of the limit is among the five steps of a reply, and
// comes before all but the stop where it four-strokes while over.
func TestLimitIsChecked(t *testing.T) {
	is := func(s string) bool { return strings.Contains(s, "Check the limit") }
	if i := slices.IndexFunc(named(t, "over and clean").Advice, is); i < 0 || i >= replySteps {
		t.Errorf("over and clean: step %d", i+1)
	}
	if i := slices.IndexFunc(named(t, "over and four-stroking").Advice, is); i != 1 {
		t.Errorf("over and four-stroking: step %d, want 2", i+1)
	}
}

// TestWheelCanBurst: a cut-off saw over its limit is stopped.
func TestWheelCanBurst(t *testing.T) {
	if v := named(t, "governed, and over its limit"); !strings.HasPrefix(v.Advice[0], "Stop the engine") || !strings.Contains(v.Advice[0], "burst") {
		t.Errorf("first: %q", v.Advice[0])
	}
}

// TestCoilMethod: behind a limiting coil H is opened by eighths, and a clean cut is
// said to prove nothing of lean.
func TestCoilMethod(t *testing.T) {
	v := named(t, "coil-limited, stutter")
	all := strings.Join(v.Advice, " ")
	for _, words := range []string{"by eighths until the speed leaves its ceiling", "true burble", "never that it is not lean"} {
		if !strings.Contains(all, words) {
			t.Errorf("%q lacks %q", all, words)
		}
	}
}

// TestSpindle: a limit of the spindle is judged at the engine, and named as it was
// entered.
func TestSpindle(t *testing.T) {
	m := built(5100, engine.Build{Kind: engine.CutOffSaw, Governor: engine.No, GearRatio: 2, LimitOf: engine.OfSpindle}).FromEntered()
	v := example{track: slower(1, 9700, 2), query: m}.judge()
	if v.Code != FourStroking || !strings.Contains(v.Says, "under the limit of 10,200 rpm (5,100 rpm at the spindle)") {
		t.Errorf("%s: %s", v.Code, v.Says)
	}
}

// TestCarburettors: caps are used within their range, fixed jets drift by their own
// law, a self-setting carburettor learns; none of the last two has a screw to turn.
func TestCarburettors(t *testing.T) {
	for c, words := range map[engine.Carburettor]string{
		engine.Capped: "within the range that cap or stops leave", engine.FixedJets: "by their own law", engine.SelfSetting: "learning run",
	} {
		v := example{track: level(1, 13900, 3, 1), query: built(13500, engine.Build{Kind: engine.Saw, Carburettor: c})}.judge()
		all := strings.Join(v.Advice, " ")
		if !strings.Contains(all, words) {
			t.Errorf("%s: %q lacks %q", c, all, words)
		}
		if c != engine.Capped && strings.Contains(all, "open the H screw") {
			t.Errorf("%s has no screw: %q", c, all)
		}
	}
}

// TestFixedJets: whatever is heard of an engine with fixed jets, no step turns a screw.
func TestFixedJets(t *testing.T) {
	fixed := built(13500, engine.Build{Kind: engine.Saw, Carburettor: engine.FixedJets, Governor: engine.No})
	for _, track := range []*passtest.Track{
		level(52, 12700, 3, 2), level(42, 13200, 3, 1), withCut(50, 2), level(51, 9500, 3, 2, 3), level(1, 13900, 3, 1), level(2, 13900, 3, 2), level(35, 12800, 3, half(2)...),
	} {
		v := example{track: track, query: fixed}.judge()
		if all := strings.Join(v.Advice, " "); strings.Contains(all, "H screw") || strings.Contains(all, "pen H") {
			t.Errorf("%s: %q", v.Code, all)
		}
	}
}

// TestNobodyNear: wherever it is said how to record, the phone is laid down or
// mounted, and people are kept away from the tool, by the kind of machine.
func TestNobodyNear(t *testing.T) {
	for kind, words := range map[engine.Kind]string{
		engine.Saw: "within reach of the saw", engine.CutOffSaw: "in the plane of the wheel", engine.Trimmer: "15 m", engine.BrushCutter: "15 m",
		engine.HedgeTrimmer: "cutter bar", engine.Blower: "stream of air", engine.Auger: "auger", engine.Pump: "hose", engine.KindUnknown: "Keep everybody else out of reach",
	} {
		place := Place(kind)
		if !strings.Contains(place, "Lay or mount the phone") || !strings.Contains(place, words) || strings.Contains(place, "second person") {
			t.Errorf("%q: %s", kind, place)
		}
		if !strings.Contains(strings.Join(Cautions(kind), " "), words) {
			t.Errorf("%q: the cautions lack %q", kind, words)
		}
	}
}

// TestCatalyst: burble is kept short where the muffler has a catalyst.
func TestCatalyst(t *testing.T) {
	m := inState(ready)
	m.Build.Catalyst = engine.Yes
	if v := (example{track: level(52, 12700, 3, 2), query: m}).judge(); !strings.Contains(strings.Join(v.Cautions, " "), "catalyst") {
		t.Errorf("the cautions are %q", v.Cautions)
	}
}

// TestFourStrokeSingle: hand-held four-strokes often have no governor; over the limit
// tool, leak and valve clearance are named.
func TestFourStrokeSingle(t *testing.T) {
	v := named(t, "a four-stroke engine over its limit")
	all := strings.Join(v.Advice, " ")
	for _, words := range []string{"tool is fitted", "leak", "valve clearance"} {
		if !strings.Contains(all, words) {
			t.Errorf("%q lacks %q", all, words)
		}
	}
}

// TestIdleOrder: the latch of the start throttle is asked for first, and L is set
// before the idle screw.
func TestIdleOrder(t *testing.T) {
	v := example{track: passtest.New(2).Hold(3, 3900).Ramp(0.4, 3900, 12700).Fires(2).Hold(3, 12700), query: saw(13500)}.judge()
	do := v.Findings[0].Advice
	latch, l, idle := strings.Index(do, "latch"), strings.Index(do, "set L"), strings.Index(do, "idle screw")
	if v.Findings[0].Code != "chain-driven" || latch < 0 || l < latch || idle < l {
		t.Errorf("%s: %q", v.Findings[0].Code, do)
	}
}

// TestSinksStarved: an engine that slows at steady throttle may be running out of
// fuel.
func TestSinksStarved(t *testing.T) {
	v := example{track: opened(6, 12900).Fires(2).Ramp(4, 12900, 11700), query: saw(13500)}.judge()
	if !slices.ContainsFunc(v.Findings, func(f Finding) bool {
		return f.Code == "sinks" && slices.ContainsFunc(f.Causes, func(c string) bool { return strings.Contains(c, "starved of fuel") })
	}) {
		t.Errorf("findings %+v", v.Findings)
	}
}

// TestCompareMachines: behind a governor, and of a machine whose firing tells nothing,
// no mixture is compared.
func TestCompareMachines(t *testing.T) {
	behind := built(9800, governed)
	a, b := sideOf(example{track: slower(1, 9320, 2), query: behind}), sideOf(example{track: slower(2, 9100, 1), query: behind})
	if c := Compare(a, b, "the second", behind, Default()); c.Mixture != Unclear || !strings.Contains(c.Says, "a governor holds the speed") {
		t.Errorf("governed: %s: %s", c.Mixture, c.Says)
	}
	blows := built(7800, engine.Build{Kind: engine.Blower})
	a, b = sideOf(example{track: slower(1, 7100, 2), query: blows}), sideOf(example{track: slower(2, 7500, 1), query: blows})
	if c := Compare(a, b, "the second", blows, Default()); c.Mixture != Unclear || !strings.Contains(c.Says, "mixture of such a machine cannot be told") {
		t.Errorf("blower: %s: %s", c.Mixture, c.Says)
	}
}
