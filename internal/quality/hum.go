package quality

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// mainsIn gives the mains frequency that hums in a sound, 50 or 60 Hz; 0 for
// none.
func mainsIn(x audio.Signal, rate engine.Hz, o Options) (engine.Hz, error) {
	hum, err := spectrum.FindHum(x, rate, o.Hum)
	found := hum.Mains
	if found == 0 || err != nil {
		return 0, err
	}
	nearest := engine.Hz(0)
	for _, m := range o.Hum.Mains {
		if nearest == 0 || math.Abs(float64(m-found)) < math.Abs(float64(nearest-found)) {
			nearest = m
		}
	}
	return nearest, nil
}
