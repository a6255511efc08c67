package verdict

import (
	"fmt"
	"strings"
	"testing"

	"topnote/internal/engine"
)

// tableMachine is a machine of the table in docs/verdicts.md.
type tableMachine struct {
	name  string
	build engine.Build
	spec  engine.Spec
	limit engine.RPM
}

// tableMachines has the machines that docs/verdicts.md shows, at the limits of such
// machines (common practice; only the share of the limit counts here).
func tableMachines() []tableMachine {
	two := engine.TwoStrokeSingle
	not := func(b engine.Build) engine.Build { b.Governor = engine.No; return b }
	return []tableMachine{
		{"saw with screws, no limiting coil", plainSaw, two, 13500},
		{"saw with a limiting coil", limitedSaw, two, 13500},
		{"saw with stratified charge", stratified, two, 13500},
		{"saw with a self-setting carburettor", selfSetting, two, 13500},
		{"saw with fixed jets", not(engine.Build{Kind: engine.Saw, Carburettor: engine.FixedJets}), two, 13500},
		{"cut-off saw, governed", governed, two, 9800},
		{"cut-off saw, governor not known", engine.Build{Kind: engine.CutOffSaw}, two, 9800},
		{"cut-off saw, not governed", not(engine.Build{Kind: engine.CutOffSaw}), two, 9800},
		{"line trimmer, not governed", not(engine.Build{Kind: engine.Trimmer}), two, 9500},
		{"brush cutter, not governed", not(engine.Build{Kind: engine.BrushCutter}), two, 11500},
		{"hedge trimmer, not governed", not(engine.Build{Kind: engine.HedgeTrimmer}), two, 10500},
		{"blower", engine.Build{Kind: engine.Blower}, two, 7800},
		{"auger", engine.Build{Kind: engine.Auger}, two, 9800},
		{"pump", engine.Build{Kind: engine.Pump}, two, 7800},
		{"four-stroke engine", engine.Build{}, engine.Spec{Strokes: 4, Cylinders: 1}, 7800},
		{"nothing known", engine.Build{}, two, 11500},
	}
}

// heard are the ways in which a machine is heard at full throttle, as examples at a
// limit.
func heard(m tableMachine, seed uint64) []example {
	q := engine.Machine{Spec: m.spec, Limits: engine.Limits{Max: m.limit}, Build: m.build, State: ready}
	return []example{
		{name: "over the limit, clean", track: slower(seed, m.limit*1.03, 1), query: q},
		{name: "over the limit, four-stroking", track: slower(seed+1, m.limit*1.03, 2), query: q},
		{name: "under it, clean", track: slower(seed+2, m.limit*0.96, 1), query: q},
		{name: "under it, four-stroking", track: slower(seed+3, m.limit*0.95, 2), query: q},
		{name: "under it, stutter on a ceiling", track: slower(seed+4, m.limit*0.95, 2), query: q, lost: cutOuts},
	}
}

// machineTable writes what is said of each machine, however it is heard, by judging
// it: code, the first step, and of the line of bases the reason and its source.
func machineTable() string {
	var b strings.Builder
	b.WriteString("| machine | judged by | heard at full throttle | verdict | first step | reason | source |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for i, m := range tableMachines() {
		line := basisOf(m.spec, m.build)
		by, why, source := line.evidence.judged(), line.why, line.source
		for k, e := range heard(m, uint64(1000+10*i)) {
			v := e.judge()
			fmt.Fprintf(&b, "| %s | %s | %s | `%s` | %s | %s | %s |\n", m.name, by, e.name, v.Code, v.Advice[0], why, source)
			if k == 0 {
				m.name, by, why, source = "", "", "", ""
			}
		}
	}
	return b.String()
}

// TestMachineTable: for every machine above its limit the first step is to stop, and
// nothing that is heard under it is called safe where the firing does not tell.
func TestMachineTable(t *testing.T) {
	t.Parallel()
	for i, m := range tableMachines() {
		line := basisOf(m.spec, m.build)
		for _, e := range heard(m, uint64(1000+10*i)) {
			v := e.judge()
			switch over := strings.HasPrefix(e.name, "over"); {
			case over && (v.Code != OverLimit || !strings.Contains(v.Advice[0], "full throttle again")):
				t.Errorf("%s, %s: %s, %q", m.name, e.name, v.Code, v.Advice[0])
			case !over && line.evidence != byFiring && line.evidence != byBurble && (v.Code == FourStroking || v.Code == RichInCut):
				t.Errorf("%s, %s: %s", m.name, e.name, v.Code)
			}
		}
	}
}
