package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// TestTheOneQuestion: where it is not known whether the speed is governed, the result
// asks that and nothing else; the answer, one tap, measures again with all that was
// entered, and then nothing is asked.
func TestTheOneQuestion(t *testing.T) {
	t.Parallel()
	v := newVisitor(t)
	first := v.send("governed.wav", "limit", "9800", "strokes", "2", "cylinders", "1", "kind", "brush-cutter", "warm", "yes")
	const asks = "Does a governor hold its top speed?</b>"
	first.wants(t, 200, "safe side unless a governor holds it", asks, `<input type="hidden" name="limit" value="9,800">`,
		`<input type="hidden" name="kind" value="brush-cutter">`, `<button name="governor" value="yes">Yes</button>`)
	answered := v.result(v.post(first.path+"/again", url.Values{
		"limit": {"9800"}, "strokes": {"2"}, "cylinders": {"1"}, "kind": {"brush-cutter"}, "warm": {"yes"}, "governor": {"yes"},
	}))
	answered.wants(t, 200, "Held by its governor", "two-stroke, 1 cylinder; brush cutter, governed")
	if strings.Contains(answered.text, asks) {
		t.Error("it asks again")
	}
	if next := strings.Index(answered.text, "warm=yes"); next >= 0 {
		t.Error("the next pass of it is taken to be warm as well")
	}
}

// TestMachineOfTheBook: what is known of a machine is entered on the page, kept, shown
// as it was entered, and used for its passes.
func TestMachineOfTheBook(t *testing.T) {
	t.Parallel()
	v := newVisitor(t)
	v.post("/book", url.Values{"name": {"leaves"}, "limit": {"7800"}, "kind": {"blower"}, "governor": {"unknown"}}).
		wants(t, 200, "blower, limit 7,800 rpm", `<option value="blower" selected>Blower</option>`, `<option value="unknown" selected>Not known</option>`)
	blown := v.send("blower.wav", "machine", "leaves")
	blown.wants(t, 200, "Below the limit", "The fan always loads a blower")
	for _, word := range []string{"wood", "Keep everybody else out of reach", "H screw where it is"} {
		if strings.Contains(blown.text, word) {
			t.Errorf("of a blower it says %q", word)
		}
	}
	wheel := v.post("/book", url.Values{"name": {"wheel"}, "limit": {"5100"}, "kind": {"cut-off-saw"}, "limit_of": {"spindle"}, "gear_ratio": {"2"}})
	wheel.wants(t, 200, `value="5,100"`, `name="gear_ratio" inputmode="decimal" autocomplete="off" maxlength="12" value="2"`, "10,200 rpm")
	v.post("/book", url.Values{"name": {"other wheel"}, "limit": {"5100"}, "limit_of": {"spindle"}}).wants(t, 400, "no gear ratio was entered")
	v.post(wheel.path2(), url.Values{"name": {"wheel"}, "limit": {"5000"}, "limit_of": {"spindle"}, "gear_ratio": {"2"}}).
		wants(t, 200, "Saved. The book keeps", "10,000 rpm")
}

// TestAPIMachine: the fields of the API are those of the report, and what cannot be is
// refused by name.
func TestAPIMachine(t *testing.T) {
	x := serve(t, nil)
	var r report.Report
	x.post("/api/v1/clips?wait=1", excerpt(t, "governed"), "limit", "4900", "kind", "cut-off-saw", "governor", "yes",
		"limit_of", "spindle", "gear_ratio", "2", "warm", "yes").want(t, http.StatusOK).into(t, &r)
	want := engine.Build{Kind: engine.CutOffSaw, Governor: engine.Yes, LimitOf: engine.OfSpindle, GearRatio: 2}
	if r.Verdict.Code != "governed" || r.Engine.Build != want || r.State.Warm != engine.Yes || r.Limits.MaxRPM != 9800 {
		t.Errorf("%s, engine %+v, state %+v, limits %+v", r.Verdict.Code, r.Engine, r.State, r.Limits)
	}
	for _, fields := range [][]string{{"kind", "tractor"}, {"governor", "perhaps"}, {"gear_ratio", "-2"}, {"limit_of", "spindle"}, {"tolerance", "100"}} {
		x.post("/api/v1/clips", []byte("RIFF"), fields...).want(t, 400).fault(t)
	}
}
