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

// logLine is how much of a line of the log is kept, bytes.
const logLine = 1 << 10

// ffmpegLog parses the log of ffmpeg.
//
// The log contains text from inside the recording. Such text can falsify what is
// reported of that recording, and nothing else.
type ffmpegLog struct {
	mu    sync.Mutex
	line  []byte         // beginning of a line
	name  string         // of the codec
	first string         // error
	cut   bool           // the file ends early
	bad   int            // errors
	long  engine.Seconds // length by the header; 0: none, or estimated
	found map[string]bool
	err   error // a *parallel.Panic of this program while it read the log
}

// The marks are parts of messages for which there is a sentence of our own. Their
// wording has been the same from version 4 to 7.
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

// cutMarks are parts of the messages for a file that was cut off.
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
			l.parseLine(string(l.line))
			l.line = l.line[:0]
		}
		rest = after
	}
}

// parseLine parses one line, such as "[mov @ 0x5] [error] moov atom not found".
func (l *ffmpegLog) parseLine(line string) {
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

// complain records a warning or an error.
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

// codec gives ffmpeg's name of the codec; empty before it was logged.
func (l *ffmpegLog) codec() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.name
}

// problem says why there is no sound. It is called after ffmpeg has ended.
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

// ownPath is the name by which ffmpeg opens the recording; it means nothing to the
// user.
var ownPath = regexp.MustCompile(`^file:/dev/fd/\d+: `)

// length parses a length such as "00:01:15.02, start: 0.025"; 0 where it is unknown.
func length(claim string) engine.Seconds {
	var hours, minutes, seconds float64
	if n, _ := fmt.Sscanf(claim, "%f:%f:%f", &hours, &minutes, &seconds); n < 3 {
		return 0
	}
	return engine.Seconds((hours*60+minutes)*60 + seconds)
}

// remarks says what was wrong with a sound that was decoded, of the given length;
// failed is whether ffmpeg ended with an error status.
func (l *ffmpegLog) remarks(failed bool, decoded engine.Seconds) []string {
	const slack = 0.25 // s: some headers count the padding that encoders put before and after the sound
	l.mu.Lock()
	defer l.mu.Unlock()
	switch {
	case l.cut || decoded < l.long-slack:
		return []string{remarkCut}
	case failed || l.bad > 0:
		return []string{remarkParts}
	}
	return nil
}
