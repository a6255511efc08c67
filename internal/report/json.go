package report

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"

	"topnote/internal/engine"
)

// ErrSchema says that what was read is not a report of this schema.
var ErrSchema = errors.New("report: not a report of schema " + Schema)

// MarshalJSON writes the speed, or null where there is none.
func (s Speed) MarshalJSON() ([]byte, error) {
	return appendSpeed(nil, s), nil
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *Speed) UnmarshalJSON(text []byte) error {
	*s = 0
	if bytes.Equal(text, []byte("null")) {
		return nil
	}
	return json.Unmarshal(text, (*float64)(s))
}

// noTrack is the member of a report without a track. It cannot occur inside a
// string, where its quotes would be escaped.
var noTrack = []byte(`"track":null`)

// WriteJSON writes r as one line of JSON of Schema, so that several reports one
// after another are JSON Lines. The track is streamed, not built in memory. It
// returns the first error of w.
func WriteJSON(w io.Writer, r Report) error {
	track := r.Track
	r.Track = nil
	text, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("report: writing JSON: %w", err)
	}
	before, after, _ := bytes.Cut(spellOut(text), noTrack)

	out := bufio.NewWriter(w)
	out.Write(before)
	out.WriteString(`"track":[`)
	for i, p := range track {
		if i > 0 {
			out.WriteByte(',')
		}
		out.Write(appendPoint(out.AvailableBuffer(), p))
	}
	out.WriteByte(']')
	out.Write(after)
	out.WriteByte('\n')
	if err := out.Flush(); err != nil { // carries the first error of all
		return fmt.Errorf("report: writing JSON: %w", err)
	}
	return nil
}

// spellOut gives JSON that is safe on a terminal: the same values, with each
// character that cannot be printed as its escape. Outside of strings JSON has
// none but line ends.
func spellOut(text []byte) []byte {
	hidden := func(c rune) bool { return unprintable(c) && c != '\n' }
	if bytes.IndexFunc(text, hidden) < 0 {
		return text
	}
	var b []byte
	for _, c := range string(text) {
		if !hidden(c) {
			b = utf8.AppendRune(b, c)
			continue
		}
		for _, unit := range utf16.AppendRune(nil, c) {
			b = fmt.Appendf(b, `\u%04x`, unit)
		}
	}
	return b
}

// appendPoint encodes a point: nearly all of a report is its track, for which
// encoding/json takes several times as long.
func appendPoint(b []byte, p Point) []byte {
	b = append(b, `{"t_s":`...)
	b = appendNumber(b, p.TimeS)
	b = append(b, `,"rpm":`...)
	b = appendSpeed(b, p.RPM)
	b = append(b, `,"sd_rpm":`...)
	b = appendNumber(b, p.SDRPM)
	b = append(b, `,"confidence":`...)
	b = appendNumber(b, p.Confidence)
	b = append(b, `,"fires_every_rev":`...)
	b = strconv.AppendInt(b, int64(p.FiresEveryRev), 10)
	if p.FiringConfidence > 0 {
		b = append(b, `,"firing_confidence":`...)
		b = appendNumber(b, p.FiringConfidence)
	}
	return append(b, '}')
}

func appendSpeed(b []byte, s Speed) []byte {
	if !s.Told() {
		return append(b, "null"...)
	}
	return appendNumber(b, float64(s))
}

// appendNumber writes the shortest decimal that reads back as v. For a multiple of
// 1/1000, as rounded numbers are, that is the multiple itself, since no other decimal
// of up to 15 digits reads back as the same float64. Writing it directly takes half
// the time.
func appendNumber(b []byte, v float64) []byte {
	const perUnit, maxExact = 1000, 1e15
	n := math.Round(v * perUnit)
	if !(v > 0 && n < maxExact && n/perUnit == v) {
		return strconv.AppendFloat(b, v, 'f', -1, 64)
	}
	whole, rest := uint64(n)/perUnit, uint64(n)%perUnit
	b = strconv.AppendUint(b, whole, 10)
	if rest == 0 {
		return b
	}
	b = append(b, '.', '0'+byte(rest/100), '0'+byte(rest/10%10), '0'+byte(rest%10))
	return bytes.TrimRight(b, "0")
}

// ReadJSON reads one report that WriteJSON wrote, or any JSON of the same
// schema; unknown members are ignored. It returns ErrSchema when
// the JSON says that it is something else or holds what no report can, and the
// decoder's error, wrapped, when it is no JSON.
func ReadJSON(from io.Reader) (Report, error) {
	var r Report
	if err := json.NewDecoder(from).Decode(&r); err != nil {
		return Report{}, fmt.Errorf("report: reading JSON: %w", err)
	}
	if r.Schema != Schema {
		return Report{}, fmt.Errorf("%w: it says %q", ErrSchema, r.Schema)
	}
	for i, p := range r.Track {
		if p.FiresEveryRev < 0 || p.FiresEveryRev > maxFiringPeriod {
			return Report{}, fmt.Errorf("%w: point %d fires every %d", ErrSchema, i, p.FiresEveryRev)
		}
		if i > 0 && p.TimeS <= r.Track[i-1].TimeS {
			return Report{}, fmt.Errorf("%w: point %d is not later than the one before", ErrSchema, i)
		}
	}
	return r, nil
}

// maxFiringPeriod is the longest firing period that a point can carry.
const maxFiringPeriod = 4

// roundOrNil rounds v, and gives nil for what JSON cannot carry.
func roundOrNil(v *float64, perUnit float64) *float64 {
	if v == nil || math.IsNaN(*v) || math.IsInf(*v, 0) {
		return nil
	}
	r := engine.Round(*v, perUnit)
	return &r
}
