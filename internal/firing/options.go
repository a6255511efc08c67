package firing

import (
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// Options holds everything that was tuned. Evidence is in natural-log units.
type Options struct {
	SamplesPerRev int            // samples that a revolution is resampled to
	Average       int            // revolutions that a comparison is averaged over
	Block, Margin engine.Seconds // of a run that is worked through at once, and of its neighbours either side

	Shape    shaft.ClippedLinear // evidence of a repeat in the shape of the revolutions
	Strength shaft.ClippedLinear // evidence of a repeat in their strength
	Miss     shaft.ClippedLinear // evidence, for every state with missed firings, of strong revolutions followed by weak ones
	Ragged   Ramp                // evidence, by the coefficient of variation, of strengths without order

	PriorWeight float64 // weight of the posterior that came with the track
	MinShare    float64 // that posterior is never taken for less than this
	Penalty     float64 // on misses in no single pattern, and on raggedness
	Flip        float64 // probability in a hop that the state changes
	Sure        float64 // posterior under which the firing is not told

	SparkCut SparkCutOptions
}

// Ramp is evidence that grows with a figure up to High: no figure under 0 is known.
type Ramp struct{ Zero, Slope, High float64 }

// At gives the evidence of a figure.
func (r Ramp) At(x float64) float64 { return min(r.High, r.Slope*(x-r.Zero)) }

// Default gives the options that docs/accuracy.md was measured with.
func Default() Options {
	return Options{
		SamplesPerRev: 48, Average: 25, Block: 30, Margin: 4,
		Shape:       shaft.ClippedLinear{Zero: 0.06, Slope: 5, Low: -0.6, High: 1.5},
		Strength:    shaft.ClippedLinear{Zero: 0.2, Slope: 1.5, Low: -0.4, High: 1},
		Miss:        shaft.ClippedLinear{Zero: 0.18, Slope: 1.2, Low: -0.4, High: 0.5},
		Ragged:      Ramp{Zero: 0.4, Slope: 3, High: 0.3},
		PriorWeight: 0.2, MinShare: 0.01, Penalty: 0.1, Flip: 0.01, Sure: 0.5,
		SparkCut: SparkCutOptions{
			MaxFourStroke: 4, MinPeriod: 6, MaxPeriod: 32, MinCycles: 60, MaxFor: 120, MinRepeats: 2, MaxRepeats: 6,
			Significance: 3, SureAt: 2.5, OverPattern: 1.5, NearlyBest: 0.8, PeriodStep: 0.25, OutlierDeviations: 3,
		},
	}
}
