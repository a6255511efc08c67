// Package audiotest holds what tests need of signals.
package audiotest

import "topnote/internal/audio"

// All gives the whole of a signal, as audio.All does. It panics where the signal
// cannot be read back: a test has nothing to go on with then.
func All(x audio.Signal) []float32 {
	samples, err := audio.All(x)
	if err != nil {
		panic(err)
	}
	return samples
}
