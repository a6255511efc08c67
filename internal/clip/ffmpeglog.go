package clip

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"sync"

	"topnote/internal/engine"
	"topnote/internal/parallel"
)

// logLine is the most of a line of the log that is looked at, bytes.
const logLine = 1 << 10

// ffmpegLog listens to what ffmpeg says of its work, and keeps what counts.
//
// Text from inside the recording also comes this way. It may mislead what is
// said of the recording, and no more.
type ffmpegLog struct {
	mu    sync.Mutex
	line  []byte         // that has begun
	name  string         // of the codec
	first string         // error
	cut   bool           // the file ends early
	bad   int            // errors
	long  engine.Seconds // claimed length; 0: none, or guessed
	found map[string]bool
	err   error // a *parallel.Panic of this program while it read the log
}

// marks are what ffmpeg says in the cases that have a sentence of their own;
// the wording has been the same from version 4 to 7.
const (
	markNoIndex   = "moov atom not found"
	markNoPackets = "Missing packet table" // of a CAF, its index
	markNoTrack   = "matches no streams"
	markNoStream  = "does not contain any stream"
	markNoDecoder = "no decoder found for"
	markUnknown   = "Unknown decoder"
	markMissing   = "not found for input stream"
	markGuess     = "Estimating duration"
)

// cutMarks are what ffmpeg says of a file that ends before its time.
func cutMarks() []string {
	return []string{"partial file", "ended prematurely", "Packet corrupt", "filesize and duration do not match"}
}

// Write implements io.Writer. It is called in a goroutine of the exec package, so
// that a panic would end the program: it is kept for fault, and the rest of the
// log is passed over.
func (l *ffmpegLog) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.err == nil {
		l.err = parallel.Try(func() error {
			l.split(p)
			return nil
		})
	}
	return len(p), nil
}

// fault gives the panic with which the log could not be read; nil for none.
func (l *ffmpegLog) fault() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.err
}

// split takes the lines out of a piece of the log.
func (l *ffmpegLog) split(p []byte) {
	for rest := p; len(rest) > 0; {
		part, after, whole := bytes.Cut(rest, []byte("\n"))
		l.line = append(l.line, part[:min(len(part), logLine-len(l.line))]...)
		if whole {
			l.take(string(l.line))
			l.line = l.line[:0]
		}
		rest = after
	}
}

// take looks at one line, such as "[mov @ 0x5] [error] moov atom not found".
func (l *ffmpegLog) take(line string) {
	level := ""
	for strings.HasPrefix(line, "[") {
		tag, after, closed := strings.Cut(line[1:], "] ")
		if !closed {
			break
		}
		level, line = tag, after
	}
	line = strings.TrimSpace(line)
	switch level {
	case "info":
		// "Stream #0:0 -> #0:0 (aac (native) -> pcm_f32le (native))"
		if _, mapped, ok := strings.Cut(line, " -> #0:0 ("); ok && strings.HasPrefix(line, "Stream #0:") {
			l.name, _, _ = strings.Cut(mapped, " ")
		}
		if claim, ok := strings.CutPrefix(line, "Duration: "); ok && !l.found[markGuess] {
			l.long = length(claim)
		}
	case "warning", "error", "fatal", "panic":
		l.complain(level, line)
	}
}

func (l *ffmpegLog) complain(level, line string) {
	for _, mark := range cutMarks() {
		l.cut = l.cut || strings.Contains(line, mark)
	}
	if l.found == nil {
		l.found = map[string]bool{}
	}
	l.found[markGuess] = l.found[markGuess] || strings.Contains(line, markGuess)
	if level == "warning" {
		return
	}
	for _, mark := range []string{markNoIndex, markNoPackets, markNoTrack, markNoStream, markNoDecoder, markUnknown, markMissing} {
		l.found[mark] = l.found[mark] || strings.Contains(line, mark)
	}
	if l.bad == 0 {
		l.first = ownPath.ReplaceAllString(line, "")
	}
	l.bad++
}

// codec gives ffmpeg's name of the codec, empty when it has not said it.
func (l *ffmpegLog) codec() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.name
}

// problem says why there is no sound. It is asked for when ffmpeg has ended.
func (l *ffmpegLog) problem(cause error) *Problem {
	l.mu.Lock()
	defer l.mu.Unlock()
	switch {
	case l.found[markNoIndex] || l.found[markNoPackets]:
		return sayNoIndex(cause)
	case l.found[markNoTrack] || l.found[markNoStream]:
		return sayNoTrack(cause)
	case l.found[markNoDecoder] || l.found[markUnknown] || l.found[markMissing]:
		return sayNoDecoder(cause)
	case l.bad == 0:
		return sayFFmpegBroken(cause)
	}
	return sayFFmpegFailed(l.first, cause)
}

// ownPath is where ffmpeg finds the recording, which nobody else knows it by.
var ownPath = regexp.MustCompile(`^file:/dev/fd/\d+: `)

// length reads a length such as "00:01:15.02, start: 0.025", 0 where it is not
// known.
func length(claim string) engine.Seconds {
	var hours, minutes, seconds float64
	if n, _ := fmt.Sscanf(claim, "%f:%f:%f", &hours, &minutes, &seconds); n < 3 {
		return 0
	}
	return engine.Seconds((hours*60+minutes)*60 + seconds)
}

// remarks says what was wrong although there is sound, for so long; failed is
// whether ffmpeg says so by its exit status.
func (l *ffmpegLog) remarks(failed bool, heard engine.Seconds) []string {
	const slack = 0.25 // s: what encoders put before and behind the sound counts in some claims
	l.mu.Lock()
	defer l.mu.Unlock()
	switch {
	case l.cut || heard < l.long-slack:
		return []string{remarkCut}
	case failed || l.bad > 0:
		return []string{remarkParts}
	}
	return nil
}
