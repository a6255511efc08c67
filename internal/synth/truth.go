package synth

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// Truth is what is known exactly of a rendered sound.
type Truth struct {
	Run
	// SNR is the level of the engine over everything else, every SNRStep; +Inf
	// without a background, -Inf without an engine.
	SNR []engine.Decibel
}

// SustainedFor is how long a speed must be held to count as sustained.
// Source: design.md, "What it decides".
const SustainedFor engine.Seconds = 0.5

// SNRStep is the grid of Truth.SNR; each value covers one step around it.
const SNRStep engine.Seconds = 0.02

// SpeedAt gives the exact shaft speed at a time: revolutions in the 50 ms around it
// over that time. It is 0 where the shaft is at rest and outside the run.
func (r *Run) SpeedAt(t engine.Seconds) engine.RPM {
	x := float64(t / Step)
	i := int(math.Floor(x))
	if i < 0 || i+1 >= len(r.OperatingPoints) {
		return 0
	}
	a, b := r.OperatingPoints[i].Speed, r.OperatingPoints[i+1].Speed
	return a + (b-a)*engine.RPM(x-float64(i))
}

// Revolutions gives the times at which the shaft completes a revolution.
func (r *Run) Revolutions() []engine.Seconds {
	var out []engine.Seconds
	want := 1.0
	for i := 1; i < len(r.angle); i++ {
		for r.angle[i-1] < want && r.angle[i] >= want {
			x := (want - r.angle[i-1]) / (r.angle[i] - r.angle[i-1])
			out = append(out, (engine.Seconds(i-1)+engine.Seconds(x))*Step)
			want++
		}
	}
	return out
}

// cycleBefore gives the index of the last burn at or before t, -1 for none.
func (r *Run) cycleBefore(t engine.Seconds) int {
	lo, hi := 0, len(r.Cycles)
	for lo < hi {
		if mid := (lo + hi) / 2; r.Cycles[mid].At <= t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo - 1
}

// FiresAt gives the firing pattern in force at a time: every Nth working cycle
// (for a two-stroke, revolution), 1 to 4; 0 where there is no regular pattern
// or no engine. Patterns may change from one cycle to the next: see SteadyAt.
func (r *Run) FiresAt(t engine.Seconds) int {
	if i := r.cycleBefore(t); i >= 0 && r.SpeedAt(t) > 0 {
		return r.Cycles[i].Every
	}
	return 0
}

// SteadyAt is FiresAt where the same pattern holds within around of t, and 0
// elsewhere: what a measurement with a window of that length can find.
func (r *Run) SteadyAt(t, around engine.Seconds) int {
	want := r.FiresAt(t)
	for i := max(0, r.cycleBefore(t-around)); i < len(r.Cycles) && r.Cycles[i].At <= t+around; i++ {
		if r.Cycles[i].Every != want {
			return 0
		}
	}
	return want
}

// CutAt reports whether the coil cuts sparks within around of t.
func (r *Run) CutAt(t, around engine.Seconds) bool {
	for i := max(0, r.cycleBefore(t-around)); i < len(r.Cycles) && r.Cycles[i].At <= t+around; i++ {
		if r.Cycles[i].Cut {
			return true
		}
	}
	return false
}

// Span gives the first span of a name, and whether there is one.
func (r *Run) Span(name string) (Span, bool) {
	for _, s := range r.Spans {
		if s.Name == name {
			return s, true
		}
	}
	return Span{}, false
}

// Sustained gives the highest mean speed over any window of a length; 0 for a
// shorter run.
func (r *Run) Sustained(long engine.Seconds) engine.RPM {
	w := int(math.Round(float64(long / Step)))
	var sum, best engine.RPM
	for i, m := range r.OperatingPoints {
		sum += m.Speed
		if i >= w {
			sum -= r.OperatingPoints[i-w].Speed
		}
		if i >= w-1 {
			best = max(best, sum/engine.RPM(w))
		}
	}
	return best
}

// SustainedMedian gives the highest median speed over any window of a length, to
// 5 ms, which ignores spikes; 0 for a shorter run.
func (r *Run) SustainedMedian(long engine.Seconds) engine.RPM {
	const every = 5 // moments
	var sorted []engine.RPM
	w := int(math.Round(float64(long / Step / every)))
	var best engine.RPM
	for i := 0; i < len(r.OperatingPoints); i += every {
		v := r.OperatingPoints[i].Speed
		k, _ := slices.BinarySearch(sorted, v)
		sorted = slices.Insert(sorted, k, v)
		if old := i - w*every; old >= 0 {
			k, _ := slices.BinarySearch(sorted, r.OperatingPoints[old].Speed)
			sorted = slices.Delete(sorted, k, k+1)
		}
		if len(sorted) == w {
			best = max(best, sorted[w/2])
		}
	}
	return best
}

// Peak gives the highest speed of the run.
func (r *Run) Peak() engine.RPM {
	var top engine.RPM
	for _, m := range r.OperatingPoints {
		top = max(top, m.Speed)
	}
	return top
}

// Mean gives the mean speed between two times.
func (r *Run) Mean(from, to engine.Seconds) engine.RPM {
	var sum, n engine.RPM
	for t := from; t < to; t += Step {
		sum += r.SpeedAt(t)
		n++
	}
	return sum / max(n, 1)
}

// Share gives the share of working cycles between two times in a pattern of every
// nth cycle.
func (r *Run) Share(n int, from, to engine.Seconds) float64 {
	have, all := 0, 0
	for _, b := range r.Cycles {
		if b.At >= from && b.At < to {
			all++
			if b.Every == n {
				have++
			}
		}
	}
	if all == 0 {
		return 0
	}
	return float64(have) / float64(all)
}

// SNRAt gives the level of the engine over everything else at a time.
func (t *Truth) SNRAt(at engine.Seconds) engine.Decibel {
	i := int(math.Round(float64(at / SNRStep)))
	if i < 0 || i >= len(t.SNR) {
		return engine.Decibel(math.Inf(-1))
	}
	return t.SNR[i]
}
