package clip

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// inputOf makes an input of bytes, without a guard round it.
func inputOf(b []byte) *input {
	r := bytes.NewReader(b)
	src := newSource(context.Background(), r, math.MaxInt64)
	src.allow(time.Hour)
	in := &input{Reader: bufio.NewReaderSize(src, readAhead), src: src, from: r, o: Default()}
	in.o.FFmpeg = ""
	return in
}

// readOgg gives the packets of the first stream in a file.
func readOgg(t interface{ Fatal(...any) }, file []byte) ([][]byte, *oggReader) {
	r := newOggReader(inputOf(file))
	if err := r.readPage(); err != nil {
		t.Fatal(err)
	}
	r.serial = r.page.serial
	var all [][]byte
	for {
		p, err := r.next()
		if errors.Is(err, io.EOF) {
			return all, r
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, slices.Clone(p.data))
	}
}

// TestOggPackets packs packets of any length into pages in any way, with pages of
// another stream between, and gets them back.
func TestOggPackets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lengths := rapid.SliceOfN(rapid.OneOf(rapid.IntRange(0, 600), rapid.SampledFrom([]int{254, 255, 256, 510, 65025, 65536})), 1, 8).Draw(t, "lengths")
		var want [][]byte
		for i, n := range lengths {
			want = append(want, bytes.Repeat([]byte{byte(i + 1)}, n))
		}
		var pages []madePage
		page := madePage{serial: 7, flags: 2}
		room := func() int { return 255 - len(page.bytes()[27:27+int(page.bytes()[26])]) }
		turn := func(open []byte) {
			page.open = open
			pages = append(pages, page)
			page = madePage{serial: 7}
			if open != nil {
				page.flags = 1
			}
			if rapid.Bool().Draw(t, "other") {
				pages = append(pages, madePage{serial: 8, packets: [][]byte{[]byte("other")}})
			}
		}
		for _, p := range want {
			for len(p)/255+1 > room() { // lay as many whole segments as fit, and turn
				n := min(room(), len(p)/255) * 255
				turn(p[:n:n])
				p = p[n:]
			}
			page.packets = append(page.packets, p)
			if rapid.Bool().Draw(t, "turn") {
				turn(nil)
			}
		}
		page.flags |= 4
		pages = append(pages, page)
		got, r := readOgg(t, madeOgg(pages...))
		if !slices.EqualFunc(got, want, slices.Equal) {
			t.Fatalf("%d packets differ from the %d that were packed", len(got), len(want))
		}
		if notes := r.remarks(); len(notes) > 0 {
			t.Fatalf("remarks %q", notes)
		}
	})
}

// TestOggDamage leaves out what is damaged and says so.
func TestOggDamage(t *testing.T) {
	p := func(s string) [][]byte { return [][]byte{[]byte(s)} }
	half := bytes.Repeat([]byte("h"), 255)
	first, last := madePage{flags: 2, packets: p("first")}, madePage{flags: 4, packets: p("last")}
	for _, c := range []struct {
		name string
		file []byte
		want string
		note string
	}{
		{"good", madeOgg(first, madePage{packets: p("a")}, last), "first a last", ""},
		{"wrong checksum", madeOgg(first, madePage{packets: p("a"), spoilt: true}, last), "first last", remarkParts},
		{"junk between", append(append(madeOgg(first), "OggOggS\x00junk OggS"...), madeOgg(last)...), "first last", remarkParts},
		{"beginning of a packet missing", madeOgg(first, madePage{flags: 1, packets: p("rest")}, last), "first last", remarkParts},
		{"end of a packet missing", madeOgg(first, madePage{packets: p("a"), open: half}, last), "first a last", remarkParts},
		{"no end", madeOgg(first, madePage{packets: p("a")}), "first a", remarkNoEnd},
		{"cut", madeOgg(first, last)[:40], "first", remarkCut},
		{"two recordings", madeOgg(first, last, first, last), "first last", remarkChained},
		{"two recordings, the first without an end", madeOgg(first, first, last), "first", remarkChained},
		{"no packets at all", madeOgg(madePage{flags: 2}, madePage{}, madePage{flags: 4}), "", ""},
	} {
		got, r := readOgg(t, c.file)
		if text := string(bytes.Join(got, []byte(" "))); text != c.want {
			t.Errorf("%s: packets %q, want %q", c.name, text, c.want)
		}
		if notes := strings.Join(r.remarks(), "; "); notes != c.note {
			t.Errorf("%s: remarks %q, want %q", c.name, notes, c.note)
		}
	}
}

// TestOggStreams looks for the sound among the streams that begin in a file.
func TestOggStreams(t *testing.T) {
	opus := unpackOgg(t, tiny(t, "opus"))
	sound := madePage{flags: 2, serial: 2, packets: opus[:1]}
	rest := []madePage{
		{serial: 2, packets: opus[1:2]}, {serial: 1, packets: [][]byte{[]byte("a picture")}},
		{serial: 2, flags: 4, granule: 5000, packets: opus[2:]},
	}
	video := madePage{flags: 2, serial: 1, packets: [][]byte{[]byte("\x80theora\x03\x02\x01")}}
	want, _, _ := decodeAll(t, madeOgg(append([]madePage{sound}, rest...)...))
	got, is, notes := decodeAll(t, madeOgg(append([]madePage{video, sound}, rest...)...))
	if is.codec != "opus" || !slices.Equal(got, want) || len(got) == 0 || len(notes) > 0 {
		t.Errorf("beside a video: %s, %d samples, want %d; %q", is.codec, len(got), len(want), notes)
	}
	for begins, name := range map[string]string{
		"Speex   1.2":     "an Ogg file with compressed speech (Speex)",
		"\x7fFLAC\x01":    "an Ogg file with FLAC in it",
		"\x80theora\x03":  "an Ogg file",
		"fishead\x00\x03": "an Ogg file",
	} {
		_, err := readAlone(bytes.NewReader(madeOgg(
			madePage{flags: 2, packets: [][]byte{[]byte(begins)}}, madePage{packets: [][]byte{[]byte("x")}},
		)))
		wantProblem(t, err, CodeNoFFmpeg, "this is "+name+noFFmpeg)
	}
}
