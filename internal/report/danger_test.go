package report_test

import (
	"strings"
	"testing"

	"topnote/internal/report"
	"topnote/internal/verdict"
)

// TestDangerousFinding: a finding that is worse than the verdict is in every
// short form of it; nothing that calls itself safe hides it.
func TestDangerousFinding(t *testing.T) {
	for _, c := range []struct {
		code     verdict.Code
		finding  string
		danger   int
		headline string
		colour   string // of the text: 31 red, 32 green, 33 yellow, bold alone for no judgement
		tone     string // of the page
	}{
		{verdict.FourStroking, "", 0, "Four-stroking, safe side", "1;32", "safe"},
		{verdict.FourStroking, "hangs", 0, "Four-stroking, safe side", "1;32", "safe"},
		{verdict.FourStroking, "chain-driven", 4, "Chain or tool driven at idle", "1;31", "stop"},
		{verdict.FourStroking, "climbs", 3, "Top speed keeps climbing", "1;33", "change"},
		{verdict.RichInCut, "", 0, "Too rich", "1;33", "change"},
		{verdict.RichInCut, "no-return", 4, "Does not return to idle", "1;31", "stop"},
		{verdict.CleanBelowLimit, "climbs", 3, "Clean without load, lean side", "1;33", "change"},
		{verdict.NoLimit, "", 1, "No limit entered", "1", "open"},
		{verdict.NoLimit, "chain-driven", 4, "Chain or tool driven at idle", "1;31", "stop"},
		{verdict.OverLimit, "chain-driven", 4, "Over the limit", "1;31", "stop"},
		{verdict.Governed, "", 2, "Held by its governor", "1;33", "change"},
		{verdict.Governed, "no-return", 4, "Does not return to idle", "1;31", "stop"},
		{verdict.SparkLimited, "", 2, "Held back by the ignition", "1;33", "change"},
		{verdict.BelowLimit, "no-return", 4, "Does not return to idle", "1;31", "stop"},
	} {
		p := madeParts()
		p.Verdict.Code, p.Verdict.Findings = c.code, nil
		if c.finding != "" {
			p.Verdict.Findings = []verdict.Finding{{Code: c.finding, Says: "Heard."}}
		}
		r := report.New(p)
		name := string(c.code) + " and " + c.finding
		if got := r.Verdict.Danger(); got != c.danger {
			t.Errorf("%s: danger %d, want %d", name, got, c.danger)
		}
		if got := r.Verdict.Headline(); got != c.headline {
			t.Errorf("%s: %q, want %q", name, got, c.headline)
		}
		if text := asText(t, r, report.TextStyle{Colour: true, Columns: 80}); !strings.HasPrefix(text, "\x1b["+c.colour+"m") {
			t.Errorf("%s: the text begins %.10q, want colour %s", name, text, c.colour)
		}
		if page := asHTML(t, r); !strings.Contains(page, `<section class="verdict `+c.tone+`"`) || !strings.Contains(page, c.headline+"</h1>") {
			t.Errorf("%s: the page is not %s, or its headline is another", name, c.tone)
		}
	}
}

// TestOpenGovernor: while it is not known whether a governor holds the speed, neither
// headline nor colour calls it safe without that.
func TestOpenGovernor(t *testing.T) {
	for finding, want := range map[string][2]string{
		"":            {"Four-stroking, safe side unless a governor holds it", "open"},
		"no-return":   {"Does not return to idle", "stop"},
		"slow-return": {"Four-stroking, safe side unless a governor holds it", "open"},
	} {
		p := madeParts()
		p.Verdict.Code, p.Verdict.Findings, p.Verdict.Asks = verdict.FourStroking, nil, "governor"
		if finding != "" {
			p.Verdict.Findings = []verdict.Finding{{Code: finding, Says: "Heard."}}
		}
		r := report.New(p)
		if got := [2]string{r.Verdict.Headline(), string(report.NewView(r).Tone)}; got != want {
			t.Errorf("%q: %q, want %q", finding, got, want)
		}
	}
}
