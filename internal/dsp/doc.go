// Package dsp has the signal processing that more than one package needs, each
// once: transforms, windows, filters, running means, quantiles and correlations.
//
// It knows nothing of engines or files. Everything works on plain slices; what
// keeps state between calls (FFT, Filter) says so, and belongs to one goroutine.
// Where gonum has a thing with the definition that is wanted, gonum is used
// directly and it is not here.
//
// Start with RealFFT for spectra, Filter for sound, and Quantile for statistics
// that a minority of wrong values must not move.
package dsp
