package shaft

import "topnote/internal/dsp"

// observation is what one frame says of the states: evidence in natural-log units,
// until toLikelihood turns it into likelihoods.
type observation struct {
	hop                int              // the point of the track that the frame is centred on
	hopsSince          int              // hops since the frame before; of the first one 1
	decisive           bool             // no warped frame is needed
	spacing            int              // the line spacing with the most evidence, as a point of the grid
	logLikelihood      []float32        // of the states of any mode, shape [states of a mode]
	contrastTerm       []float32        // the part of it that is contrast of whole orders
	sweepLogLikelihood [modes][]float32 // of the states of one mode; nil: as of any
	noEngine           float32          // of the state without an engine
	best               []float32        // greatest evidence at each frequency, of any mode and firing period; of a stream only
	lo, hi             int              // points of the grid, hi excluded, that the search is held to; hi 0: to nothing
}

// of gives the evidence of the states of one mode.
func (f *observation) of(m mode) []float32 {
	if f.sweepLogLikelihood[m] != nil {
		return f.sweepLogLikelihood[m]
	}
	return f.logLikelihood
}

// eachVector calls do with the evidence of any mode and with that of each mode that
// has its own.
func (f *observation) eachVector(do func(p []float32)) {
	do(f.logLikelihood)
	for _, p := range f.sweepLogLikelihood {
		if p != nil {
			do(p)
		}
	}
}

// capContrast limits the contrast of consecutive frames with the same line spacing to
// that of so many hops. What makes one order of an engine stronger than another does
// so all along: such frames are one sample, not many independent ones.
func capContrast(frames []observation, most float64) {
	for len(frames) > 0 {
		n := 1
		for n < len(frames) && sameSpacing(frames[n-1].spacing, frames[n].spacing) {
			n++
		}
		if length := float64(frames[n-1].hop - frames[0].hop + 1); length > most {
			for _, f := range frames[:n] {
				f.eachVector(func(p []float32) { dsp.Axpy32(float32(most/length-1), f.contrastTerm, p) })
			}
		}
		frames = frames[n:]
	}
}

// sameSpacing reports whether two line spacings are at most a point apart.
func sameSpacing(a, b int) bool { return a-b <= 1 && b-a <= 1 }
