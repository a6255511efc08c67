// Package audiotest has what tests need of signals.
package audiotest

import "topnote/internal/audio"

// All gives a whole signal, as audio.All does. It panics where the signal cannot be
// read back.
func All(x audio.Signal) []float32 {
	samples, err := audio.All(x)
	if err != nil {
		panic(err)
	}
	return samples
}
