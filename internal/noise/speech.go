package noise

import (
	"context"
	"math"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Speech is where somebody speaks, in order of time; spans may overlap.
type Speech []Span

// Span is a part of a recording: From is in it, To is not.
type Span struct{ From, To engine.Seconds }

// At reports whether somebody speaks at a time.
func (s Speech) At(t engine.Seconds) bool {
	return slices.ContainsFunc(s, func(x Span) bool { return x.From <= t && t < x.To })
}

// Length gives the time for which somebody speaks.
func (s Speech) Length() engine.Seconds {
	var sum, end engine.Seconds
	for _, x := range s {
		sum += x.To - max(x.From, end)
		end = x.To
	}
	return sum
}

// level gives how loud the louder syllables are, together with what else sounds
// while somebody speaks, dB; 0 where nobody does.
func (s Speech) level(l Levels, o Options) float64 {
	var spoken []float64
	for i, v := range l.Engine {
		if s.At(l.Middle(i)) {
			spoken = append(spoken, v)
		}
	}
	return dsp.Quantile(dsp.Sorted(spoken), 1-o.GustShare)
}

// findSpeech gives where somebody can be heard to speak: where the level is
// modulated at the rate of syllables and part of the sound has a pitch. It needs
// no track, since a voice may be what was followed. A voice that the engine
// drowns is not found, and does no harm.
//
// Sources: the modulation of speech is strongest at 3 to 5 Hz (Houtgast and
// Steeneken 1985); its use to tell speech from other sounds (Scheirer and Slaney
// 1997).
func findSpeech(ctx context.Context, x audio.Signal, rate engine.Hz, o Options) (Speech, error) {
	e := newEnvelope(rate, o)
	steps := int(math.Round(float64(o.SpeechWindow / o.SpeechStep)))
	pitch := newPitchDetector(x, rate, o)
	var found Speech
	for from := 0; ; from += steps / 2 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if ok, err := e.advance(x, from, steps); !ok || err != nil {
			return found, err
		}
		if e.modulation(o) < float64(o.MinModulation) {
			continue
		}
		at := engine.Seconds(from) * o.SpeechStep
		share, err := pitch.voicedShare(at, o)
		if err != nil {
			return nil, err
		}
		if share >= o.MinVoiced {
			found = append(found, Span{at, at + o.SpeechWindow})
		}
	}
}
