package verdict_test

import (
	"fmt"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/verdict"
)

// A saw that idles too near its clutch, four-strokes without load at 12,700 rpm
// and cleans up in wood.
func ExampleJudge() {
	track := passtest.New(1).Hold(2, 3000).Ramp(0.4, 3000, 12700).
		Fires(2).Hold(3, 12700).Ramp(0.3, 12700, 9000).
		Fires(1).Hold(3, 9000).Ramp(0.8, 9000, 3000).Hold(2, 3000).Build()
	q := engine.Machine{
		Spec:   engine.TwoStrokeSingle,
		Limits: engine.Limits{Max: 13500, Clutch: 3500},
	}

	v := verdict.Judge(pass.Summarise(track, nil, q, pass.Default()), q, quality.Quality{}, verdict.Default())
	fmt.Println(v.Code)
	fmt.Println(v.Says)
	for _, f := range v.Findings {
		fmt.Println(f.Says)
	}
	// Output:
	// four-stroking
	// Safe side, unless a governor holds it: from 2.4 s to 5.5 s it four-strokes 100 % of the time without load and holds 12,710 ± 40 rpm, 790 rpm under the limit of 13,500 rpm. In the cut, from 5.5 s to 8.7 s, it runs clean at 9,000 rpm. This holds only with a warm engine, a fully open choke and a clean air filter.
	// The idle of 3,000 rpm is too near the clutch, which engages at 3,500 rpm, only 17 % above it; a quarter is common practice.
}
