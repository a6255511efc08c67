package diagnose

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"topnote/internal/book"
	"topnote/internal/engine"
)

func TestWhyIsRefused(t *testing.T) {
	t.Parallel()
	passes := written(step{}, step{day: 1}, step{day: 2}, step{day: 3})
	passes[1].ReplacedBy = 3
	for says, numbers := range map[string][2]int64{
		"pass 1 is the first":                    {1, 0},
		"pass 3 was named twice":                 {3, 3},
		"pass 2 was entered once more as pass 3": {2, 0},
		"pass 9 is not one":                      {9, 0},
		"pass 8 is not one":                      {3, 8},
	} {
		_, err := Why(passes, numbers[0], numbers[1], Default())
		wantRefused(t, err, says)
	}
	// The one before it is the one before it that counts; the order in which two
	// are named does not matter.
	for _, numbers := range [][2]int64{{3, 0}, {3, 1}, {1, 3}} {
		e, err := Why(passes, numbers[0], numbers[1], Default())
		if err != nil || e.Then.Number != 1 || e.Now.Number != 3 {
			t.Errorf("%v: %d to %d, %v", numbers, e.Then.Number, e.Now.Number, err)
		}
	}
}

// TestWhyForms: the text and the JSON carry the verdict's own cautions, the
// answer and every likely cause.
func TestWhyForms(t *testing.T) {
	t.Parallel()
	for seed := range uint64(12) {
		for _, kind := range single {
			h := kind.make(seed)
			e := explain(observations(h.passes), h.then, h.now, Default())
			var text, one bytes.Buffer
			if err := e.WriteText(&text, 80, true); err != nil {
				t.Fatal(err)
			}
			if err := e.WriteJSON(&one); err != nil {
				t.Fatal(err)
			}
			var back Explanation
			if err := json.Unmarshal(one.Bytes(), &back); err != nil || back.Schema != WhySchema || back.Answer != e.Answer || len(back.Causes) != len(groups) {
				t.Fatalf("%v: %+v", err, back)
			}
			squeezed := strings.Join(strings.Fields(text.String()), " ")
			for _, want := range []string{e.Answer, e.Now.Says, "The handbook comes first.", e.Causes[0].Next, e.Next.Says, e.Headline(), e.Likely()[0].Headline(), e.Likely()[1].Next, "common practice"} {
				if !strings.Contains(squeezed, want) {
					t.Errorf("%s %d: no %q in\n%s", kind.name, seed, want, text.String())
				}
			}
			for _, odd := range []string{"NaN", "Inf", "%!", "-0 "} {
				if strings.Contains(text.String()+one.String(), odd) {
					t.Errorf("%s %d: %q in\n%s", kind.name, seed, odd, text.String())
				}
			}
			for _, line := range strings.Split(text.String(), "\n") {
				if len([]rune(line)) > 80 {
					t.Errorf("a line of %d characters: %s", len([]rune(line)), line)
				}
			}
		}
	}
}

// TestWhyWithoutNotes: where neither air nor H is noted, that is said, and it
// widens what may be behind it.
func TestWhyWithoutNotes(t *testing.T) {
	t.Parallel()
	passes := written(step{}, step{day: 1, top: 12900})
	noted := why(t, passes, 0)
	for i := range passes {
		passes[i].Air, passes[i].Screws = nil, book.Screws{}
	}
	e := why(t, passes, 0)
	says := strings.Join(e.Notes, " ")
	if !strings.Contains(says, "The air is not noted for both") || !strings.Contains(says, "H is noted for neither pass") {
		t.Errorf("notes %v", e.Notes)
	}
	if partOf(e, partRest).SD <= partOf(noted, partRest).SD {
		t.Errorf("the rest is no less sure: %+v against %+v", partOf(e, partRest), partOf(noted, partRest))
	}
	passes[1].Report.TopEnd = nil
	e = why(t, passes, 0)
	if e.ChangeRPM != nil || len(e.Parts) != 0 || !strings.Contains(e.Answer, "cannot be compared") {
		t.Errorf("without a top speed: %+v", e)
	}
}

// TestSignTable: every share could be corrected by a technician and none says
// never or always, which no sign could ever outweigh; every cause has a group, and
// every group a cause.
func TestSignTable(t *testing.T) {
	t.Parallel()
	codes := map[signCode]bool{}
	for _, s := range signTable {
		if codes[s.code] || s.seen == nil || s.usual < 1 || s.usual > 99 {
			t.Errorf("%s: %+v", s.code, s)
		}
		codes[s.code] = true
	}
	names, members := map[Cause]bool{}, map[Group]int{}
	for _, row := range causeTable {
		if names[row.cause] || row.weight <= 0 || groupOf(row.group).group != row.group {
			t.Errorf("%s: %+v", row.cause, row)
		}
		names[row.cause] = true
		members[row.group]++
		for code, v := range row.shares {
			if !codes[code] || v < 1 || v > 99 {
				t.Errorf("%s, %s: %v of 100", row.cause, code, v)
			}
		}
		for _, kind := range allKinds {
			if r := (traits{kind: kind}).adapt(row); r.name == "" || r.check == "" {
				t.Errorf("%s of a %q: %+v", row.cause, kind, r)
			}
		}
	}
	for _, g := range groups {
		if members[g.group] == 0 || g.name == "" || g.mixture == "" || g.screws == "" {
			t.Errorf("%+v with %d causes", g, members[g.group])
		}
	}
}

// allKinds are the kinds of machines.
var allKinds = []engine.Kind{engine.KindUnknown, engine.Saw, engine.CutOffSaw, engine.Trimmer, engine.BrushCutter, engine.HedgeTrimmer, engine.Blower, engine.Auger, engine.Pump, engine.OtherKind}
