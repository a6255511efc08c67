package jobs

import (
	"errors"
	"io"
	"mime/multipart"
	"slices"
	"strings"
	"time"
	"unicode"

	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/web/fault"
)

// The limits of a form beside its recording.
const (
	maxParts = 32      // parts, which is some more than there are fields
	maxField = 1000    // bytes of a field
	aroundIt = 100_000 // bytes of a body beside the recording
)

// MaxName is how many characters of a recording's name are shown.
const MaxName = 100

// The fields of a form with a recording.
const (
	FieldClip      = "clip"
	FieldLimit     = entry.FieldLimit
	FieldIdle      = entry.FieldIdle
	FieldClutch    = entry.FieldClutch
	FieldStrokes   = entry.FieldStrokes
	FieldCylinders = entry.FieldCylinders
	FieldName      = "name"
	FieldMachine   = "machine"
	FieldDecoded   = "decoded" // "browser"
	FieldSHA256    = "sha256"  // of the file that the browser decoded
	FieldRecorded  = "recorded"
)

// RecordedLayout is how a form writes when a recording was made, in local time: as a
// field of date and time in a page has it.
const RecordedLayout = "2006-01-02T15:04"

// ParseRecorded reads when a recording was made, otherwise where nothing was entered. It
// returns a *fault.Fault for what is no day, or one to come.
func ParseRecorded(text string, otherwise time.Time) (time.Time, error) {
	if text == "" {
		return otherwise, nil
	}
	const zones = 24 * time.Hour // the sender's may be another one
	at, err := time.ParseInLocation(RecordedLayout, text, time.Local)
	if err != nil || at.After(time.Now().Add(zones)) {
		return otherwise, noDate()
	}
	return at, nil
}

// EngineFields gives those that describe an engine, its speeds and what is known of
// the machine beside them: the keys of engine.Fields.
func EngineFields() []string {
	names := []string{FieldLimit, FieldIdle, FieldClutch, FieldStrokes, FieldCylinders}
	for _, f := range engine.Fields {
		names = append(names, f.Key())
	}
	return names
}

// form is a form with a recording as it came in.
type form struct {
	fields map[string]string
	file   string // the name that the sender's system has for it
	upload *Upload
}

// read reads the parts of a form; keep stores its recording.
func (f *form) read(parts *multipart.Reader, keep func(io.Reader) (*Upload, error)) error {
	for n := 0; ; n++ {
		part, err := parts.NextRawPart() // raw: an encoding of its own is of no use here
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if n == maxParts {
			return unknownField("...")
		}
		if part.FormName() == FieldClip {
			err = f.readClip(part, keep)
		} else {
			err = f.readField(part)
		}
		if err != nil {
			return err
		}
	}
}

func (f *form) readClip(part *multipart.Part, keep func(io.Reader) (*Upload, error)) error {
	if f.upload != nil {
		return fieldTwice(FieldClip)
	}
	f.file = part.FileName()
	var err error
	f.upload, err = keep(part)
	return err
}

func (f *form) readField(part *multipart.Part) error {
	name := part.FormName()
	if !slices.Contains([]string{FieldName, FieldMachine, FieldDecoded, FieldSHA256, FieldRecorded}, name) && !slices.Contains(EngineFields(), name) {
		return unknownField(displayName(name))
	}
	if _, twice := f.fields[name]; twice {
		return fieldTwice(name)
	}
	text, err := io.ReadAll(io.LimitReader(part, maxField+1))
	if err != nil {
		return err
	}
	if len(text) > maxField {
		return unknownField(name)
	}
	f.fields[name] = strings.TrimSpace(string(text))
	return nil
}

// displayName makes a name that a sender gave fit to be shown: the last part of
// a path, printable, short. No file here is ever called by it.
func displayName(text string) string {
	text = strings.ToValidUTF8(text, "?")
	if i := strings.LastIndexAny(text, `/\`); i >= 0 {
		text = text[i+1:]
	}
	text = strings.TrimSpace(strings.Map(func(c rune) rune {
		if unicode.IsPrint(c) {
			return c
		}
		return '?'
	}, text))
	if short := []rune(text); len(short) > MaxName {
		text = string(short[:MaxName])
	}
	if text == "" {
		return Unnamed
	}
	return text
}

// limitedReader fails where more than limit bytes come.
type limitedReader struct {
	r     io.Reader
	limit int64
	got   int64
}

// Read implements io.Reader.
func (l *limitedReader) Read(p []byte) (int, error) {
	n, err := l.r.Read(p)
	if l.got += int64(n); l.got > l.limit {
		return 0, fault.TooBig(l.limit)
	}
	return n, err
}
