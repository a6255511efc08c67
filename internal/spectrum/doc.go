// Package spectrum turns sound into frames, levels over the local noise floor,
// and order spectra.
//
// What an engine does shows as lines: narrow peaks in the spectrum of a short
// frame. How loud a line is says little, since every phone has a response of its
// own; how far it stands out of the noise beside it says much. So a STFT gives
// levels in dB over a floor that follows the spectrum, with 0 where there is
// nothing but noise. While the speed changes, lines smear; Orders therefore looks
// at the sound by angle instead of by time, as many samples to each turn, where
// lines stay at their orders (multiples of the shaft's frequency) at any speed.
// A Spectrogram is what pictures show.
//
// Start with NewSTFT for frames, with ShaftAngle and Orders for order spectra. The
// package knows nothing of engines: which line means what is for shaft to say.
//
// Sources: beside each function; Oppenheim and Schafer 1989 for windows and spectra.
package spectrum
