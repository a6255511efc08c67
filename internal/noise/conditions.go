package noise

import (
	"context"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// Conditions is what a recording was made in: what can be found in it without
// knowing what its engine does.
type Conditions struct {
	Levels Levels
	Wind   bool      // it blows over the microphone
	Mains  engine.Hz // 50 or 60; 0: no hum
	Speech Speech

	// SpeechLevel is how loud the louder syllables are, dB re full scale, together
	// with what else sounds while somebody speaks; 0 where nobody does.
	SpeechLevel float64
}

// Assess finds the conditions of a recording, whose mains hum was found before.
// The error is that of ctx, or of a
// signal that cannot be read back.
func Assess(ctx context.Context, x audio.Signal, rate engine.Hz, mains Mains, o Options) (c Conditions, err error) {
	c.Mains = mains.Nominal()
	if c.Levels, err = measureLevels(ctx, x, rate, o); err != nil {
		return Conditions{}, err
	}
	c.Wind = c.Levels.windy(o)
	if c.Speech, err = findSpeech(ctx, x, rate, o); err != nil {
		return Conditions{}, err
	}
	c.SpeechLevel = c.Speech.level(c.Levels, o)
	return c, nil
}
