package quality

import (
	"math"

	"topnote/internal/sound"
	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// mainsIn gives the mains frequency that hums in a sound, 50 or 60 Hz; 0 for
// none.
func mainsIn(x sound.Mono, rate unit.Hz, o Options) unit.Hz {
	found := spectrum.FindHum(x, rate, o.Hum).Mains
	if found == 0 {
		return 0
	}
	nearest := unit.Hz(0)
	for _, m := range o.Hum.Mains {
		if nearest == 0 || math.Abs(float64(m-found)) < math.Abs(float64(nearest-found)) {
			nearest = m
		}
	}
	return nearest
}
