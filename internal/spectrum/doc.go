// Package spectrum has short-time spectra, their levels over the local noise floor,
// and order spectra.
//
// An engine is a series of narrow lines in the spectrum of a short frame. The level
// of a line says little, since every phone has a frequency response of its own; its
// prominence over the noise beside it says much. An STFT therefore gives levels in
// dB over a floor that follows the spectrum, 0 where there is only noise. While the
// speed changes lines smear; Orders therefore takes the spectrum over shaft angle
// instead of time, where lines stay at their orders (multiples of the shaft's
// frequency) at any speed. A Spectrogram is what pictures show.
//
// Start with NewSTFT for frames, with ShaftAngle and Orders for order spectra. The
// package knows nothing of engines: which line means what is decided in shaft.
//
// Sources: beside each function; for windows and spectra Oppenheim and Schafer 1989.
package spectrum
