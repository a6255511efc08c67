package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"topnote/internal/pass"
	"topnote/internal/report"
	"topnote/internal/verdict"
)

// compared gives the comparison of a rich pass with one over its limit and with
// a clip without an engine. The figures are made up.
func compared() report.Comparison {
	rich, over, none := madeParts(), madeParts(), bare()
	rich.Clip.File, over.Clip.File = "passes/rich <1>.wav", "passes/over.wav"
	rich.Verdict.Code, rich.Verdict.Says = verdict.FourStroking, "Safe side."
	rich.Pass.TopEnd = &pass.TopEnd{Sustained: pass.Figure{Speed: 12710, SD: 22}, Peak: pass.Figure{Speed: 12800}, From: 2.4, To: 6.25, FourStroking: 0.98, Clean: 0.02}
	for _, p := range []*report.Parts{&rich, &over} {
		p.Pass.Phases = []pass.Phase{
			{Kind: pass.Rise, From: 0.5, To: 0.7}, {Kind: pass.Idle, From: 1, To: 2.1},
			{Kind: pass.Rise, From: 2.1, To: 2.4}, {Kind: pass.FullThrottle, From: 2.4, To: 6.25}, {Kind: pass.Rise, From: 7, To: 7.2},
		}
	}
	pairs := []verdict.Comparison{
		{
			Mixture: verdict.Leaner, Says: "The second runs 1,130 ± 80 rpm faster. It four-strokes less. So it is leaner.",
			Differences: []verdict.Difference{
				{Figure: verdict.ComparedHeld, First: number(12710), Second: number(13842.26), By: 1132.26, SD: 35.6, Told: true, Means: "faster: leaner at the top"},
				{Figure: verdict.ComparedFour, First: number(0.98), Second: number(0.1239), By: -0.8561, SD: 0.14, Told: true, Means: "misses fewer firings: leaner at the top"},
				{Figure: verdict.ComparedIdle, First: number(2765), Second: number(2780), By: 15, SD: 30, Told: true},
				{Figure: verdict.ComparedRise, First: number(0.31), Second: number(0.52), By: 0.21, SD: 0.04, Told: true, Means: "slower to rise"},
				{Figure: verdict.ComparedFall, Second: number(0.8)},
				{Figure: verdict.ComparedCut},
			},
		},
		{Mixture: verdict.Unclear, Says: "Nothing can be concluded at full throttle: the third holds no engine."},
	}
	orders := []*report.Orders{report.NewOrders(2.4, 6.2504, 8, []float64{0, 3.14159, 12}), nil, nil}
	return report.NewComparison([]report.Report{report.New(rich), report.New(over), report.New(none)}, orders, pairs)
}

func TestGoldenComparison(t *testing.T) {
	var text, one bytes.Buffer
	if err := report.WriteComparisonText(&text, compared(), page); err != nil {
		t.Fatal(err)
	}
	golden(t, "comparison.txt", text.Bytes())
	if err := report.WriteComparisonJSON(&one, compared()); err != nil {
		t.Fatal(err)
	}
	var indented bytes.Buffer
	if err := json.Indent(&indented, one.Bytes(), "", "  "); err != nil {
		t.Fatal(err)
	}
	golden(t, "comparison.json", indented.Bytes())
	if one.Len() == 0 || bytes.Count(one.Bytes(), []byte("\n")) != 1 {
		t.Error("the JSON is not one line")
	}
	var back report.Comparison
	if err := json.Unmarshal(one.Bytes(), &back); err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if err := report.WriteComparisonJSON(&again, back); err != nil || !bytes.Equal(one.Bytes(), again.Bytes()) {
		t.Errorf("there and back differs (%v)", err)
	}
}

// TestComparisonOpens: passes are aligned at the rise that leads to the
// top, not at an earlier blip or a later one.
func TestComparisonOpens(t *testing.T) {
	c := compared()
	for i, want := range []float64{2.1, 2.1} {
		if got := c.Passes[i].OpensAtS; got == nil || *got != want {
			t.Errorf("pass %d opens at %v, want %v", i+1, got, want)
		}
	}
	if got := c.Passes[2].OpensAtS; got != nil {
		t.Errorf("a pass without an engine opens at %v", *got)
	}
}

// TestComparisonHeadline: danger is in the headline whatever the conclusion is.
func TestComparisonHeadline(t *testing.T) {
	c := compared()
	if got := report.ComparisonHeadline(c); got != "3 passes side by side; the second pass is at or over the limit" {
		t.Errorf("three passes are titled %q", got)
	}
	c.Passes, c.Pairs = c.Passes[:2], c.Pairs[:1]
	for mixture, want := range map[verdict.Mixture]string{
		verdict.Leaner: "The second pass is leaner", verdict.Richer: "The second pass is richer",
		verdict.Alike: "The second pass is about the same", verdict.Unclear: "Whether the second pass is leaner or richer cannot be told",
	} {
		c.Pairs[0].Mixture = string(mixture)
		and := ", and at or over the limit"
		if mixture == verdict.Unclear {
			and = "; the second pass is at or over the limit"
		}
		if got := report.ComparisonHeadline(c); got != want+and {
			t.Errorf("%s is titled %q", mixture, got)
		}
	}
	c.Passes[1].Report.Verdict.Code = string(verdict.FourStroking)
	if got := report.ComparisonHeadline(c); strings.Contains(got, "the limit") {
		t.Errorf("two safe passes are titled %q", got)
	}
	c.Passes[0].Report.Verdict.Findings = []report.Finding{{Code: "chain-driven"}}
	if got := report.ComparisonHeadline(c); !strings.HasSuffix(got, "; the first pass is not safe") {
		t.Errorf("a pass that drives its chain at idle is titled %q", got)
	}
}

func TestComparisonWriteErrors(t *testing.T) {
	if err := report.WriteComparisonJSON(full{}, compared()); !errors.Is(err, errFull) {
		t.Errorf("JSON on a full disk gives %v", err)
	}
	if err := report.WriteComparisonText(full{}, compared(), page); !errors.Is(err, errFull) {
		t.Errorf("text on a full disk gives %v", err)
	}
}
