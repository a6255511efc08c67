package clip

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"topnote/internal/engine"
)

// This file has every sentence of this package that a user can read.

// What to do, where several problems share it.
const (
	doExport    = "save or export it as WAV with plain samples (PCM, 16 bits or more) and use that"
	doOriginal  = "use the original recording, not a copy; if it is the original, open it in an audio editor and export it as WAV"
	doCopy      = "copy it again from the phone or recorder: the copy may be incomplete"
	doCut       = "cut out the pass and use that"
	doFinish    = "use the original if this is a copy; otherwise record the pass again and stop the recorder before you take the file"
	doReinstall = "reinstall ffmpeg (ffmpeg.org has it for every system), or " + doExportIt
	doExportIt  = "save or export the recording as WAV with plain samples (PCM, 16 bits or more) and use that"
)

func sayNotFound(cause error) *Problem {
	return &Problem{CodeNotFound, "there is no such file", "check the name and the folder", cause}
}

func sayNoPermission(cause error) *Problem {
	return &Problem{CodeNoPermission, "the file may not be read: permission is missing",
		"copy it to a folder of your own, or ask its owner", cause}
}

func sayFolder() *Problem {
	return &Problem{CodeFolder, "this is a folder, not a recording", "name the recordings in it", nil}
}

func sayCannotOpen(cause error) *Problem {
	return &Problem{CodeReadFailed, "the system cannot open the file", "check the disk, cable or connection, or copy it to a folder of your own under a short name", cause}
}

func sayReadFailed(cause error) *Problem {
	return &Problem{CodeReadFailed, "reading stopped before the end",
		"check the disk, cable or connection and try again", cause}
}

func sayEmpty() *Problem {
	return &Problem{CodeEmpty, "the file is empty", doCopy, nil}
}

func sayTooShort(size int) *Problem {
	says := fmt.Sprintf("the file ends after %d bytes, before any sound", size)
	if size == 1 {
		says = "the file ends after one byte, before any sound"
	}
	return &Problem{CodeTooShort, says, doCopy, nil}
}

func sayEndsEarly() *Problem {
	return &Problem{CodeTooShort, "the file ends before its sound begins", doCopy, nil}
}

func sayNotAudio(head []byte) *Problem {
	const shown = 12
	if len(bytes.Trim(head, "\x00")) == 0 {
		return &Problem{CodeNotAudio, "this is not a sound recording: it begins with nothing but zeros", doCopy, nil}
	}
	return &Problem{CodeNotAudio,
		fmt.Sprintf("this is not a sound recording of a known kind: it begins with %q", head[:min(shown, len(head))]),
		"choose the recording itself; if this is one, " + doExport, nil}
}

func sayNoRecording(what string) *Problem {
	return &Problem{CodeNotAudio, "this is " + what + ", not a sound recording", "choose the recording itself", nil}
}

func sayNoFFmpeg(what string, cause error) *Problem {
	return &Problem{CodeNoFFmpeg, fmt.Sprintf(saysNoFFmpeg, what), doInstall, cause}
}

func sayFFmpegBroken(cause error) *Problem {
	return &Problem{CodeNoFFmpeg, "ffmpeg, the program that would decode the file, does not run", doReinstall, cause}
}

func sayNoPipe(what string) *Problem {
	return &Problem{CodeNoPipe, "this is " + what + ", which cannot be decoded while it comes through a pipe",
		doSaveFile, nil}
}

func sayNoWriter(waited time.Duration) *Problem {
	return &Problem{CodeNoWriter, fmt.Sprintf("this is a pipe, and for %.3g s no program has written to it", waited.Seconds()),
		"start the program that writes to it first, or name a file", nil}
}

func sayNoRoom(cause error) *Problem {
	return &Problem{CodeNoRoom, "the copy that decoding needs cannot be written to the folder for temporary files",
		"make room on the disk, or save the recording as a file and name that", cause}
}

func sayNoPlace(cause error) *Problem {
	return &Problem{CodeNoRoom, "the sound of so long a recording cannot be kept in the folder for temporary files",
		"make room on the disk, or " + doCut, cause}
}

func sayLost(cause error) *Problem {
	return &Problem{CodeReadFailed, "the sound that was kept in the folder for temporary files cannot be read back",
		"check the disk and try again, or " + doCut, cause}
}

func sayNoDecoder(cause error) *Problem {
	return &Problem{CodeCodec, "the ffmpeg on this computer has no decoder for the sound in the file", doExport, cause}
}

func sayNoIndex(cause error) *Problem {
	return &Problem{CodeDamaged, "the recording was never finished: the index at its end is missing", doFinish, cause}
}

func sayNoTrack(cause error) *Problem {
	return &Problem{CodeNoSound, "the file holds no sound: it has no sound track", "record the pass again with the microphone on", cause}
}

// sayFFmpegFailed quotes no more than the beginning of what ffmpeg said.
func sayFFmpegFailed(detail string, cause error) *Problem {
	const shown = 60
	if short := []rune(detail); len(short) > shown {
		detail = string(short[:shown]) + "..."
	}
	return &Problem{CodeDamaged, fmt.Sprintf("the file is damaged: its sound cannot be decoded (ffmpeg says %q)", detail), doOriginal, cause}
}

func sayDamaged(what string) *Problem {
	return &Problem{CodeDamaged, "the file is damaged: " + what, doOriginal, nil}
}

func sayDecoderFailed(cause error) *Problem {
	return &Problem{CodeDamaged, "the file is damaged: its sound cannot be decoded", doOriginal, cause}
}

// countSamples counts them: "1 sample a second", "8,000 samples a second".
func countSamples(n int64, per string) string {
	if n == 1 {
		return "1 sample" + per
	}
	return engine.FormatWhole(float64(n)) + " samples" + per
}

func sayRate(rate uint32, l Limits) *Problem {
	return &Problem{CodeRate,
		fmt.Sprintf("the file claims %s; %s to %s can be read", countSamples(int64(rate), " a second"),
			engine.FormatWhole(l.MinRate), engine.FormatWhole(l.MaxRate)), doOriginal, nil}
}

func sayChannels(channels uint16, l Limits) *Problem {
	return &Problem{CodeChannels,
		fmt.Sprintf("the file claims %s channels; 1 to %d can be read", engine.FormatWhole(float64(channels)), l.Channels),
		"export it as WAV with one or two channels and use that", nil}
}

func sayNoSound() *Problem {
	return &Problem{CodeNoSound, "the file holds no sound: its length is zero",
		"record the pass again, and check that the recorder's time runs", nil}
}

func sayTooBig(limit int64) *Problem {
	const giga = 1e9
	return &Problem{CodeTooBig, fmt.Sprintf("the file is larger than %.3g GB", float64(limit)/giga), doCut, nil}
}

func sayTooLong(limit engine.Seconds) *Problem {
	const perMinute = 60
	return &Problem{CodeTooLong, fmt.Sprintf("the recording is longer than %.3g minutes", float64(limit)/perMinute), doCut, nil}
}

func sayTooManySamples(limit engine.Seconds, rate, channels int) *Problem {
	const perMinute = 60
	return &Problem{CodeTooLong, fmt.Sprintf("the recording is longer than %.3g minutes, the most that is read of %d channels at %s",
		float64(limit)/perMinute, channels, countSamples(int64(rate), " a second")), doCut, nil}
}

func sayTooSlow() *Problem {
	return &Problem{CodeTooSlow, "decoding the file takes too long", doExport, nil}
}

// What is wrong, for sayDamaged.

func wrongPart(id []byte, size uint32) string {
	return fmt.Sprintf("its part %q claims %s bytes, more than there are", id, engine.FormatWhole(float64(size)))
}

const (
	wrongNoFormat    = "the description of its samples is missing"
	wrongShortFormat = "the description of its samples is cut short"
)

func wrongBits(bits uint16) string {
	return fmt.Sprintf("it claims samples of %s bits", engine.FormatWhole(float64(bits)))
}

func wrongNumbers(percent float64) string {
	return fmt.Sprintf("%.0f %% of its samples are not numbers", percent)
}

// nameWAV names a WAV file by what it holds.
func nameWAV(holds string) string { return "a WAV file with " + holds }

// nameAIFF names an AIFF file by its type of compression.
func nameAIFF(kind string) string {
	return fmt.Sprintf("an AIFF file with compressed sound (%q)", kind)
}

const nameAIFFOrder = "an AIFF file whose sound is before its description"

// nameFLAC names a FLAC file by the size of its samples.
func nameFLAC(bits uint8) string { return fmt.Sprintf("a FLAC file with samples of %d bits", bits) }

// Names of kinds of sound that nothing here can decode.
const (
	nameSpeex   = "an Ogg file with compressed speech (Speex)"
	nameOggFLAC = "an Ogg file with FLAC in it"
	nameVorbis  = "an Ogg file (Vorbis) of an unusual make, or damaged"
	nameFreeMP3 = "an MP3 file of free bit rate"
	nameLayer   = "an MPEG sound file that is no MP3 (layer I or II)"
)

// nameOgg names an Ogg file by its codec and channels.
func nameOgg(codec string, channels int) string {
	return fmt.Sprintf("an Ogg file (%s) with %d channels", codec, channels)
}

// nameLowMP3 names an MP3 file by its rate.
func nameLowMP3(rate int) string {
	return "an MP3 file of " + countSamples(int64(rate), " a second")
}

// sayTag and sayIdentifier name a sample format that is not known, for nameWAV.

func sayTag(tag uint16) string {
	return fmt.Sprintf("sound of an unknown format (0x%04x)", tag)
}

func sayIdentifier(id []byte) string {
	return fmt.Sprintf("sound of an unknown format (%x)", id)
}

// Remarks on a recording that could be read.

const (
	remarkNoLength = "the recorder did not write how long the sound is; all that the file holds was read"
	remarkCut      = "the file was cut off; what it holds was read"
	remarkParts    = "parts of the file are damaged; what could be decoded was read"
	remarkNoEnd    = "the file has no proper end, as when it was cut off; what it holds was read"
	remarkNoCount  = "what the file says of its length makes no sense; all that it holds was read"
	remarkChained  = "another recording follows in the same file; only the first was read"
	remarkDelay    = "the file does not say how much silence its encoder put first; times may be up to 0.05 s late"
	remarkPartial  = "the last sample is incomplete and was left out"
	remarkStray    = "more bytes follow the sound than the file accounts for; they were left out"
	remarkBlock    = "the header contradicts itself about the size of a sample; its bits were used"
	remarkSilent   = "the recording is silent from end to end"
	remarkDead     = "is silent or nearly so"
	remarkClipped  = "is clipped"
	remarkWeak     = "is much weaker than the rest"
)

func remarkDamaged(at engine.Seconds) string {
	return fmt.Sprintf("the file is damaged %.1f s from its start; the part before was read", at)
}

func remarkScaled(peak float32) string {
	times := fmt.Sprintf("%.3g", peak)
	if strings.Contains(times, "e") { // whole numbers of many digits
		times = engine.FormatWhole(float64(peak))
	}
	return fmt.Sprintf("the samples reach %s times full scale; the whole was scaled to fit", times)
}

func remarkNoNumbers(n int64) string {
	if n == 1 {
		return "1 sample is not a number; it was replaced by silence"
	}
	return engine.FormatWhole(float64(n)) + " samples are not numbers; they were replaced by silence"
}

func remarkLeftOut(channel int, why string) string {
	return fmt.Sprintf("channel %d %s and was left out", channel+1, why)
}

func remarkCancel(channel int) string {
	return fmt.Sprintf("the channels cancel each other when mixed; the strongest, channel %d, was the only one measured", channel+1)
}

// sayUsed names the channels that were measured, of so many, counted from 0.
func sayUsed(used []int, of int) string {
	switch {
	case of == 1:
		return "the only channel"
	case len(used) == 1:
		return fmt.Sprintf("channel %d of %d", used[0]+1, of)
	case len(used) == of:
		return fmt.Sprintf("mix of %d", of)
	}
	names := make([]string, len(used))
	for i, c := range used {
		names[i] = fmt.Sprint(c + 1)
	}
	last := len(names) - 1
	return fmt.Sprintf("mix of channels %s and %s of %d", strings.Join(names[:last], ", "), names[last], of)
}
