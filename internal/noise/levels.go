package noise

import (
	"context"
	"math"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Levels is how loud a recording is, in dB re full scale: one value for each hop
// of it, from the first sample on, as far as whole hops go.
type Levels struct {
	Hop    engine.Seconds
	Low    []float64 // below the lines of an engine
	Engine []float64 // from the lowest line of an engine on
}

// Middle gives the middle of a hop.
func (l Levels) Middle(i int) engine.Seconds { return engine.Seconds(float64(i)+0.5) * l.Hop }

// EngineAt gives the level of the engine's band at a time; before the first hop
// that of the first, after the last that of the last.
func (l Levels) EngineAt(t engine.Seconds) float64 {
	i := min(int(t/l.Hop), len(l.Engine)-1)
	return l.Engine[max(0, i)]
}

// meanSquareFloor keeps logarithms finite: it is far below the last bit of 16-bit
// sound.
const meanSquareFloor = 1e-14

// measureLevels gives the levels of a sound.
func measureLevels(ctx context.Context, x audio.Signal, rate engine.Hz, o Options) (Levels, error) {
	l := Levels{Hop: o.Hop}
	low, band := dsp.NewLowPass(o.RumbleTo, rate, math.Sqrt2/2), dsp.NewHighPass(o.EngineFrom, rate, math.Sqrt2/2)
	n := int(float64(o.Hop) * float64(rate))
	for chunk, err := range audio.Chunks(x, 0, x.Len()/n*n, n) {
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return Levels{}, err
		}
		lowPower, bandPower := dsp.Energies(&low, &band, chunk.Samples, meanSquareFloor)
		l.Low = append(l.Low, 10*math.Log10(lowPower/float64(n)))
		l.Engine = append(l.Engine, 10*math.Log10(bandPower/float64(n)))
	}
	return l, nil
}

// windy reports whether wind blows over the microphone: below the lines of an
// engine it gusts and lulls, about as loud as the engine where that is loud. A
// rumble that is steady is no wind.
func (l Levels) windy(o Options) bool {
	low := dsp.Sorted(l.Low)
	gusts, lulls := dsp.Quantile(low, 1-o.GustShare), dsp.Quantile(low, o.GustShare)
	loud := dsp.Quantile(dsp.Sorted(l.Engine), 1-o.GustShare)
	return engine.Decibel(gusts-loud) >= o.GustOver && engine.Decibel(gusts-lulls) >= o.GustSpread
}
