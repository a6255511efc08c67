package air_test

import (
	"fmt"
	"log"

	"topnote/internal/air"
)

// A saw was set on a cool day in the valley; now it works on a hot day higher up.
func Example() {
	o := air.Default()
	airOf := func(text string) air.Air {
		reading, err := air.ParseReading(text)
		if err != nil {
			log.Fatal(err)
		}
		a, err := reading.Air(o)
		if err != nil {
			log.Fatal(err)
		}
		return a
	}
	now, since := airOf("temp=31C rh=60% altitude=850m"), airOf("temp=46F rh=80% altitude=390ft")
	shift := air.Compare(now, since, o)
	fmt.Printf("%.3f kg/m3 now, %.3f then\n", now.Density, since.Density)
	fmt.Printf("%.1f %% (sd %.1f): %s\n", shift.Mixture, shift.SD, shift.Direction)
	// Output:
	// 1.037 kg/m3 now, 1.236 then
	// -9.6 % (sd 2.2): richer
}
