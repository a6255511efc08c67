package main

import (
	"fmt"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/needle"
)

// The sentences of listen.
const (
	listenShort = "Follow an engine while it runs, and measure each opening of the throttle"
	listenLong  = `Listen to sound as it comes: from a microphone through a pipe (a lone -), from a
named pipe or from a file; WAV and whatever measure reads, or raw samples of 16
bits with --rate. The speed is shown a third of a second late and is not judged:
no warning does not mean safe. "not told" means that no speed could be read.

As soon as you let go of the throttle, that opening is measured like a recording of
its own and becomes a row: the top speed, how far it is from the limit, how much
it four-strokes, and the result. Turn a screw, open the throttle again, and
compare the rows. What you type meanwhile is noted with the next row; "h 1 1/8" also
sets the H screw from there on, "l" and "idle" the others.

--save keeps the whole session as a recording; --machine stores each row in the
book as a pass. --format json prints an object a line: "kind" is reading or row.

Seconds, not minutes, at full throttle without load. Ctrl-C ends it.

Exit status: 0 when the sound has ended or was ended; 1 failure; 2 wrong usage.`
	listenExample = `  arecord -q -f S16_LE -r 48000 -c 1 | topnote listen - --limit 13500
  arecord -q -t raw -f S16_LE -r 48000 -c 1 | topnote listen - --rate 48000 --limit 13500
  topnote listen session.wav --limit 13500 --format json`

	flagRate       = "the sound is raw, 16 bits, little-endian, at this `number` of samples a second"
	flagChannels   = "`number` of channels of raw sound"
	flagLiveFormat = "`form` of what is printed: text, or json (an object a line)"
	flagSave       = "keep the session as a recording in this new `file`, .wav"
)

func refuseNoSound() error {
	return &usageError{"no sound was named", "name a file or a pipe, or - for standard input"}
}

func refuseFolderSound(name string) error {
	return &usageError{quoted(name) + " is a folder", "name a file or a pipe, or - for standard input"}
}

func refuseRate(rate int, l clip.Limits) error {
	return &usageError{fmt.Sprintf("--rate: %s samples a second cannot be read", engine.FormatWhole(float64(rate))),
		fmt.Sprintf("record at %s to %s; 48,000 is usual", engine.FormatWhole(l.MinRate), engine.FormatWhole(l.MaxRate))}
}

func refuseChannels(channels int, l clip.Limits) error {
	return &usageError{fmt.Sprintf("--channels: %d channels cannot be read", channels), fmt.Sprintf("record 1 to %d; 1 is enough", l.Channels)}
}

func refuseSaveOver(path string) error {
	return &usageError{quoted(path) + " exists already", "choose another name, so that no recording is lost"}
}

// saysReading gives a reading in one line.
func saysReading(r needle.Reading, limit engine.RPM) string {
	text := "  not told"
	if r.Speed.Told() {
		text = fmt.Sprintf("%6s rpm ± %s", engine.FormatTens(r.Speed), engine.FormatHalfWidth(r.SD))
		if limit.Told() {
			text += "  " + saysAgainst(r, limit)
		}
	}
	if r.Open > 0 {
		text += fmt.Sprintf("  full throttle %s", engine.FormatSeconds(r.Open))
	}
	switch r.Warn {
	case needle.OverLimit:
		text = fmt.Sprintf("OVER THE LIMIT: LET GO  %s", text)
	case needle.LetGo:
		text = fmt.Sprintf("LET GO  %s", text)
	}
	if r.Level != needle.Good {
		text += fmt.Sprintf("  (%s)", r.Level)
	}
	return text
}

// saysAgainst holds a speed against the limit.
func saysAgainst(r needle.Reading, limit engine.RPM) string {
	const coverage = 2 // standard deviations: 95 in 100
	switch off := r.Speed - limit; {
	case off > coverage*r.SD:
		return engine.FormatTens(off) + " over the limit"
	case off < -coverage*r.SD:
		return engine.FormatTens(-off) + " under the limit"
	}
	return "at the limit"
}
