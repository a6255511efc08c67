package clip

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// bitWriter writes numbers from the low bits of bytes up, as Vorbis packs them.
// Source: Vorbis I specification, 2.1.4.
type bitWriter struct {
	bytes []byte
	n     int
}

func (w *bitWriter) put(v, bits int) *bitWriter {
	for i := range bits {
		if w.n%8 == 0 {
			w.bytes = append(w.bytes, 0)
		}
		w.bytes[w.n/8] |= byte(v>>i&1) << (w.n % 8)
		w.n++
	}
	return w
}

// books begins a setup header with so many code books.
func books(n int) *bitWriter {
	w := &bitWriter{bytes: []byte("\x05vorbis"), n: 7 * 8}
	return w.put(n-1, 8)
}

// book begins a code book.
func (w *bitWriter) book(dimensions, entries int) *bitWriter {
	return w.put(0x564342, 24).put(dimensions, 16).put(entries, 24)
}

// full gives every entry a code word of so many bits, and no values.
func (w *bitWriter) full(entries, length int) *bitWriter {
	w.put(0, 1).put(0, 1) // in no order, none left out
	for range entries {
		w.put(length-1, 5)
	}
	return w.put(0, 4)
}

// aBook begins a setup with one good book, and no transform.
func aBook() *bitWriter { return books(1).book(1, 4).full(4, 2).put(0, 6).put(0, 16) }

// floor adds the only floor, of one of the two kinds, as small as it can be.
func (w *bitWriter) floor(kind int) *bitWriter {
	w.put(0, 6).put(kind, 16)
	if kind == 0 {
		return w.put(0, 8+16+16+6+8).put(0, 4).put(0, 8)
	}
	// One partition, of class 1; classes 0 and 1, the latter of two dimensions
	// and two subclasses; two positions of 5 bits.
	w.put(1, 5).put(1, 4)
	w.put(0, 3).put(0, 2).put(0, 8)
	w.put(1, 3).put(1, 2).put(0, 8).put(0, 2*8)
	return w.put(0, 2).put(5, 4).put(0, 2*5)
}

// residue adds the only residue.
func (w *bitWriter) residue(begin, end int) *bitWriter { return w.put(0, 6).oneResidue(begin, end) }

func (w *bitWriter) oneResidue(begin, end int) *bitWriter {
	return w.put(2, 16).put(begin, 24).put(end, 24).put(7, 24).put(0, 6).put(0, 8).put(1, 3).put(0, 1).put(0, 8)
}

// TestVorbisSetup refuses what would drive the library into an endless loop or
// out of memory, before it is called. Source: Vorbis I specification, 3.2.1, and
// the library's own reading.
func TestVorbisSetup(t *testing.T) {
	for _, c := range []struct {
		name string
		w    *bitWriter
		want bool
	}{
		{"one good book", books(1).book(1, 4).full(4, 2), true},
		{"two good books", books(2).book(1, 4).full(4, 2).book(2, 2).full(2, 1), true},
		{"no bytes", &bitWriter{}, false},
		{"one book of two that are claimed", books(2).book(1, 4).full(4, 2), false},
		{"wrong sync", books(1).put(0x564343, 24).put(1, 16).put(4, 24).full(4, 2), false},
		{"no dimensions: the residue would never end", books(1).book(0, 4).full(4, 2), false},
		{"no entries", books(1).book(1, 0).full(0, 2), false},
		{"one entry", books(1).book(1, 1).full(1, 1), false},
		{"sixteen million entries", books(1).book(1, 1<<24-1).put(0, 1).put(1, 1), false},
		{"too many values", books(1).book(65535, 5).full(5, 3), false},
		{"all entries left out: a code word would never end", books(1).book(1, 4).put(0, 1).put(1, 1).put(0, 4).put(0, 4), false},
		{"some left out", books(1).book(1, 4).put(0, 1).put(1, 1).put(1, 1).put(0, 5).put(0, 1).put(0, 1).put(1, 1).put(0, 5).put(0, 4), true},
		{"in order", books(1).book(1, 4).put(1, 1).put(1, 5).put(4, 3).put(0, 4), true},
		{"in order, from the second length on", books(1).book(1, 4).put(1, 1).put(0, 5).put(0, 3).put(4, 3).put(0, 4), true},
		{"in order, more than there are", books(1).book(1, 4).put(1, 1).put(1, 5).put(5, 3).put(0, 4), false},
		{"in order, and none ever: it would never end", books(1).book(1, 4).put(1, 1).put(1, 5), false},
		{"a lattice", books(1).book(2, 9).put(0, 1).put(0, 1).put(0, 45).put(1, 4).put(0, 64).put(3, 4).put(0, 1).put(0, 3*4), true},
		{"a lattice cut short", books(1).book(2, 9).put(0, 1).put(0, 1).put(0, 45).put(1, 4).put(0, 64).put(15, 4).put(0, 1), false},
		{"values one by one", books(1).book(2, 4).put(0, 1).put(0, 1).put(0, 20).put(2, 4).put(0, 64).put(3, 4).put(0, 1).put(0, 8*4), true},
		{"a residue", aBook().floor(1).residue(0, 24), true},
		{"a residue of nothing", aBook().floor(0).residue(24, 24), true},
		{"a residue that ends before it begins: it would never end", aBook().floor(0).residue(24, 23), false},
		{"the same behind another floor", aBook().floor(1).residue(24, 0), false},
		{"the same behind a good one", aBook().floor(0).put(1, 6).put(0, 16+24+24+24+6+8).put(5, 3).put(1, 1).put(1, 5).put(0, 3*8).oneResidue(24, 0), false},
		{"unknown kind of values", books(1).book(2, 4).put(0, 1).put(0, 1).put(0, 20).put(3, 4).put(0, 128), false},
	} {
		if got := vorbisSetupFits(c.w.bytes); got != c.want {
			t.Errorf("%s: fit %v, want %v", c.name, got, c.want)
		}
	}
	many := books(5)
	for range 5 {
		many.book(1, 1<<14).full(1<<14, 14)
	}
	if vorbisSetupFits(many.bytes) {
		t.Error("five of the largest books fit")
	}
}

// TestVorbisSide: the number of values a dimension, by the definition in 9.2.3 of
// the specification: the largest whose power is no more than the entries. Where
// the library's root of floats falls short of it, the book does not fit.
func TestVorbisSide(t *testing.T) {
	for _, c := range []struct{ entries, dimensions, want int }{
		{81, 4, 3}, {80, 4, 2}, {625, 4, 5}, {6561, 8, 3}, {2, 16, 1}, {16384, 1, 16384}, {125, 3, 5}, {27, 3, 3},
	} {
		root := int(math.Pow(float64(c.entries), 1/float64(c.dimensions)))
		if got, ok := vorbisSide(c.entries, c.dimensions); got != c.want || ok != (root == c.want) {
			t.Errorf("%d entries, %d dimensions: %d, %v; want %d; the library has %d", c.entries, c.dimensions, got, ok, c.want, root)
		}
	}
}

// TestVorbisEnds holds the end by the granule of the last page, and that neither
// the length of the comments nor the pages matter.
func TestVorbisEnds(t *testing.T) {
	packets := unpackOgg(t, tiny(t, "ogg"))
	whole, is, _ := decodeAll(t, vorbisFile(-1, packets))
	if n := int64(len(whole)); n < 800 || is.rate != 8000 || is.channels != 1 {
		t.Fatalf("%d samples, %+v", n, is) // 0.1 s
	}
	all := int64(len(whole))
	long := slices.Clone(packets)
	long[1] = append([]byte("\x03vorbis"), bytes.Repeat([]byte("a picture of the cover "), 9000)...)
	comments := madeOgg(
		madePage{flags: 2, packets: long[:1]}, madePage{open: long[1][:255*254]}, madePage{flags: 1, open: long[1][255*254 : 2*255*254]},
		madePage{flags: 1, open: long[1][2*255*254 : 3*255*254]}, madePage{flags: 1, packets: [][]byte{long[1][3*255*254:]}},
		madePage{packets: long[2:3]}, madePage{flags: 4, granule: all, packets: long[3:]},
	)
	spoilt := slices.Clone(packets)
	spoilt[5] = []byte{1} // no packet of sound
	for _, c := range []struct {
		name   string
		file   []byte
		want   int64
		remark string
	}{
		{"end", vorbisFile(700, packets), 700, ""},
		{"end beyond the packets", vorbisFile(1<<50, packets), all, ""},
		{"end below zero", vorbisFile(-700, packets), all, ""},
		{"end at the start", vorbisFile(0, packets), all, ""},
		{"comments of 200 kB", comments, all, ""},
		{"empty packets between", vorbisFile(all, slices.Insert(slices.Clone(packets), 5, nil, nil)), all, ""},
		{"a packet that is no sound", vorbisFile(-1, spoilt), -1, remarkParts},
	} {
		got, _, notes := decodeAll(t, c.file)
		if c.want >= 0 && !slices.Equal(got, whole[:c.want]) {
			t.Errorf("%s: %d samples, want the first %d", c.name, len(got), c.want)
		}
		if len(got) == 0 || strings.Join(notes, "; ") != c.remark {
			t.Errorf("%s: %d samples, remarks %q, want %q", c.name, len(got), notes, c.remark)
		}
	}
}

// TestVorbisHeads reads first headers that lie.
func TestVorbisHeads(t *testing.T) {
	packets := unpackOgg(t, tiny(t, "ogg"))
	with := func(change func(head []byte)) []byte {
		p := slices.Clone(packets)
		p[0] = slices.Clone(p[0])
		change(p[0])
		return vorbisFile(-1, p)
	}
	for _, c := range []struct {
		name       string
		file       []byte
		code, want string
	}{
		{"no channels", with(func(h []byte) { h[11] = 0 }), CodeChannels, "the file claims 0 channels; 1 to 8 can be read; " + fewer},
		{"six channels", with(func(h []byte) { h[11] = 6 }), CodeNoFFmpeg, "this is an Ogg file (Vorbis) with 6 channels" + noFFmpeg},
		{"no rate", with(func(h []byte) { binary.LittleEndian.PutUint32(h[12:], 0) }), CodeRate, "the file claims 0 samples a second; 4,000 to 384,000 can be read; " + original},
		{"blocks of one sample", with(func(h []byte) { h[28] = 0 }), CodeNoFFmpeg, "this is " + nameVorbis + noFFmpeg},
		{"blocks of 32768", with(func(h []byte) { h[28] = 0xff }), CodeNoFFmpeg, "this is " + nameVorbis + noFFmpeg},
		{"long blocks before short", with(func(h []byte) { h[28] = 0x6b }), CodeNoFFmpeg, "this is " + nameVorbis + noFFmpeg},
		{"a head cut short", vorbisFile(-1, [][]byte{packets[0][:20]}), CodeDamaged, "the file is damaged: the description of its samples is cut short; " + original},
		{"no setup", vorbisFile(-1, packets[:2]), CodeTooShort, "the file ends before its sound begins; " + again},
		{"no sound", vorbisFile(-1, packets[:3]), CodeTooShort, "the file ends before its sound begins; " + again},
		{"endless code books", vorbisFile(-1, [][]byte{packets[0], packets[1], books(1).book(1, 4).put(1, 1).put(1, 5).bytes, {0}}),
			CodeNoFFmpeg, "this is " + nameVorbis + noFFmpeg},
		{"code books and nothing more", vorbisFile(-1, [][]byte{packets[0], packets[1], books(1).book(1, 4).full(4, 2).bytes, {0}, {0}}),
			CodeDamaged, "the file is damaged: its sound cannot be decoded; " + original},
	} {
		t.Run(fmt.Sprint(c.name), func(t *testing.T) {
			t.Parallel()
			_, err := readAlone(bytes.NewReader(c.file))
			wantProblem(t, err, c.code, c.want)
		})
	}
}
