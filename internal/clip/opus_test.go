package clip

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"
)

// TestOpusDuration holds the table of RFC 6716, 3.1 (table 2), in milliseconds
// for each of the 32 configurations, and the four ways to pack frames (3.2).
func TestOpusDuration(t *testing.T) {
	table := []float64{
		10, 20, 40, 60, 10, 20, 40, 60, 10, 20, 40, 60, // SILK: narrow, medium, wide
		10, 20, 10, 20, // hybrid: super-wide, full
		2.5, 5, 10, 20, 2.5, 5, 10, 20, 2.5, 5, 10, 20, 2.5, 5, 10, 20, // CELT: narrow, wide, super-wide, full
	}
	for config, ms := range table {
		one := int64(48 * ms)
		toc := byte(config << 3)
		for _, c := range []struct {
			packet []byte
			want   int64
		}{
			{[]byte{toc}, one},
			{[]byte{toc | 4}, one}, // stereo
			{[]byte{toc | 1, 0}, 2 * one},
			{[]byte{toc | 2, 0}, 2 * one},
			{[]byte{toc | 3, 1}, one},
			{[]byte{toc | 3, 0x80 | 2}, 2 * one},
			{[]byte{toc | 3}, 0},
			{[]byte{toc | 3, 0}, 0},
			{[]byte{toc | 3, 49}, 0}, // over 120 ms in any
			{nil, 0},
		} {
			want := c.want
			if want > 48*120 {
				want = 0
			}
			if got := opusDuration(c.packet); got != want {
				t.Errorf("% x: %d frames, want %d", c.packet, got, want)
			}
		}
	}
}

// TestOpusEnds holds what is taken off at both ends, and the gain, by RFC 7845,
// 4 and 5.1: the same packets between other heads and ends.
func TestOpusEnds(t *testing.T) {
	packets := unpackOgg(t, tiny(t, "opus"))[2:]
	var all int64
	for _, p := range packets {
		all += opusDuration(p)
	}
	whole, is, _ := decodeAll(t, opusFile(opusHead(1, 0, 0, 0), all, packets...))
	if int64(len(whole)) != all || is.rate != 48000 || is.channels != 1 {
		t.Fatalf("%d samples, %+v, want %d", len(whole), is, all)
	}
	var doubled, both []float32
	for _, v := range whole {
		doubled = append(doubled, float32(math.Pow(10, 6.0/20))*v)
		both = append(both, v, v)
	}
	for _, c := range []struct {
		name   string
		head   []byte
		end    int64
		want   []float32
		remark string
	}{
		{"pre-skip", opusHead(1, 312, 0, 0), all, whole[312:], ""},
		{"pre-skip of more than a packet", opusHead(1, 3000, 0, 0), all, whole[3000:], ""},
		{"end", opusHead(1, 312, 0, 0), all - 100, whole[312 : all-100], ""},
		{"end some packets early", opusHead(1, 312, 0, 0), 1500, whole[312:1500], ""},
		{"end beyond the packets", opusHead(1, 312, 0, 0), all + 5000, whole[312:], ""},
		{"end before the first sound", opusHead(1, 312, 0, 0), 100, whole[312:], remarkNoCount},
		{"no end", opusHead(1, 312, 0, 0), -1, whole[312:], ""},
		{"end far below zero", opusHead(1, 312, 0, 0), math.MinInt64, whole[312:], ""},
		{"end as far as can be", opusHead(1, 312, 0, 0), math.MaxInt64, whole[312:], ""},
		{"gain of 6 dB", opusHead(1, 0, 6*256, 0), all, doubled, ""},
		{"two channels of one", opusHead(2, 0, 0, 0), all, both, ""},
	} {
		got, _, notes := decodeAll(t, opusFile(c.head, c.end, packets...))
		if len(got) != len(c.want) {
			t.Errorf("%s: %d samples, want %d", c.name, len(got), len(c.want))
			continue
		}
		for i, v := range c.want {
			if math.Abs(float64(got[i]-v)) > 1e-6 {
				t.Errorf("%s: sample %d is %v, want %v", c.name, i, got[i], v)
				break
			}
		}
		if text := strings.Join(notes, "; "); text != c.remark {
			t.Errorf("%s: remarks %q, want %q", c.name, text, c.remark)
		}
	}
}

// TestOpusBroadcast: a recording that begins in the middle of a broadcast counts
// from there. Source: RFC 7845, 4.3.
func TestOpusBroadcast(t *testing.T) {
	packets := unpackOgg(t, tiny(t, "opus"))[2:]
	head := opusHead(1, 0, 0, 0)
	file := func(from int64, cut int64) []byte {
		var all int64
		for _, p := range packets[1:] {
			all += opusDuration(p)
		}
		first := opusDuration(packets[0])
		return madeOgg(
			madePage{flags: 2, packets: [][]byte{head}}, madePage{packets: [][]byte{opusTags()}},
			madePage{granule: from + first, packets: packets[:1]},
			madePage{flags: 4, granule: from + first + all - cut, packets: packets[1:]},
		)
	}
	want, _, _ := decodeAll(t, file(0, 100))
	got, _, notes := decodeAll(t, file(1_000_000, 100))
	if !slices.Equal(got, want) || len(notes) > 0 {
		t.Errorf("%d samples, want %d; %q", len(got), len(want), notes)
	}
}

// TestOpusDamage: a packet that cannot be decoded gives silence, so that
// what follows keeps its time.
func TestOpusDamage(t *testing.T) {
	packets := unpackOgg(t, tiny(t, "opus"))[2:]
	head := opusHead(1, 0, 0, 0)
	bad := []byte{packets[2][0] | 3, 0x40 | 1, 255, 255} // padding beyond its end
	if opusDuration(bad) != opusDuration(packets[2]) {
		t.Fatal("the test makes a packet of another length")
	}
	spoilt := slices.Clone(packets)
	spoilt[2] = bad
	got, _, notes := decodeAll(t, opusFile(head, -1, spoilt...))
	want, _, _ := decodeAll(t, opusFile(head, -1, packets...))
	if len(got) != len(want) || strings.Join(notes, "; ") != remarkParts {
		t.Errorf("%d samples, want %d; %q", len(got), len(want), notes)
	}
	at := 2 * int(opusDuration(packets[0]))
	for i := range int(opusDuration(bad)) {
		if got[at+i] != 0 {
			t.Fatalf("sample %d of the damaged packet is %v", i, got[at+i])
		}
	}
	// Packets of no length, and one with a head alone, as a pause in speech is sent.
	pause := slices.Insert(slices.Clone(packets), 3, packets[2][:1], nil, nil)
	got, _, _ = decodeAll(t, opusFile(head, -1, pause...))
	if want := len(want) + int(opusDuration(packets[2])); len(got) != want {
		t.Errorf("with a pause %d samples, want %d", len(got), want)
	}
	// When the first packet is bad, there is nothing to stand on.
	_, err := readAlone(bytes.NewReader(opusFile(head, -1, bad)))
	wantProblem(t, err, CodeDamaged, "the file is damaged: its sound cannot be decoded; "+original)
}
