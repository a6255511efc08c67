// Package spectrum turns sound into frames, levels over the local noise floor,
// and order spectra.
package spectrum
