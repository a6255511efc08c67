package measure_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/measure"
	"topnote/internal/report"
)

// FuzzStream measures any sound: whatever it is, it is refused in words, or
// every form of the result can be written and the JSON read back.
func FuzzStream(f *testing.F) {
	f.Add(uint32(8000), false, uint16(0), bytes.Repeat([]byte{0x80, 0xff, 0x80, 0x01}, 2000))
	f.Add(uint32(8000), true, uint16(13500), bytes.Repeat([]byte{0, 0, 0x80, 0x7f, 0, 0, 0xc0, 0xff}, 500)) // Inf and NaN
	f.Add(uint32(44100), true, uint16(9000), bytes.Repeat([]byte{0xff, 0xff, 0x7f, 0x7f}, 400))             // the largest float32
	f.Add(uint32(11025), false, uint16(3600), make([]byte, 11025))
	f.Fuzz(func(t *testing.T, rate uint32, floats bool, limit uint16, data []byte) {
		const longest = 48000 // bytes: a minute of each would try few
		q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: engine.RPM(limit)}}
		m, err := measure.Stream(bytes.NewReader(wavOf(rate, floats, data[:min(len(data), longest)])), "fuzz", q)
		var problem *clip.Problem
		var refusal *entry.Refusal
		if err != nil {
			if !errors.As(err, &problem) && !errors.As(err, &refusal) {
				t.Fatalf("%v is neither a Problem nor a Refusal", err)
			}
			return
		}
		var text bytes.Buffer
		if err := report.WriteJSON(&text, m.Report); err != nil {
			t.Fatal(err)
		}
		if _, err := report.ReadJSON(&text); err != nil {
			t.Fatalf("the report cannot be read back: %v", err)
		}
		for form, err := range map[string]error{
			"text": report.WriteText(io.Discard, m.Report, report.TextStyle{Columns: report.DefaultColumns}),
			"csv":  report.WriteCSV(io.Discard, m.Report),
			"vtt":  report.WriteVTT(io.Discard, m.Report),
		} {
			if err != nil {
				t.Errorf("%s: %v", form, err)
			}
		}
	})
}

// wavOf puts a head before samples of 8 bits, or floats of 32.
func wavOf(rate uint32, floats bool, data []byte) []byte {
	tag, bytesEach := uint16(1), uint16(1)
	if floats {
		tag, bytesEach = 3, 4
	}
	le := binary.LittleEndian
	b := append([]byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00"), byte(tag), 0, 1, 0)
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, rate*uint32(bytesEach))
	b = le.AppendUint16(b, bytesEach)
	b = le.AppendUint16(b, 8*bytesEach)
	b = le.AppendUint32(append(b, "data"...), uint32(len(data)))
	return append(b, data...)
}
