package clip

import "topnote/internal/unit"

// WorkingRate is the rate of the sound that the analysis sees. Everything that
// is read from an engine stands below 3.6 kHz, the top of a telephone's band.
const WorkingRate unit.Hz = 8000

// Info is what is known of a clip from its container and from its samples.
type Info struct {
	File       string       // as the user named it; "-" for standard input
	SHA256     string       // of the bytes read, lower-case hex
	Duration   unit.Seconds // of the sound that could be read
	SampleRate unit.Hz      // of the file
	Channels   int          // in the file
	Used       string       // which channel was measured, in words: "channel 2 of 2", "mix of 2"
	Container  string       // "wav"
	Codec      string       // "pcm_s16", "pcm_u8", "pcm_s24", "pcm_s32", "float32", "float64"
	ClippedPct float64      // share of samples at the rails, percent
	PeakLevel  float64      // largest magnitude, 1 at full scale
	Remarks    []string     // sentences for people: "the file was cut off; what it holds was read"
}

// Sound is a clip ready for analysis.
type Sound struct {
	Info    Info
	Rate    unit.Hz   // WorkingRate
	Samples []float32 // mono, -1 to 1, at Rate
}
