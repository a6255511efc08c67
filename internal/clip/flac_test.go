package clip

import (
	"bytes"
	"encoding/binary"
	"log"
	"testing"
)

// TestFLACQuiet: the library's note for each block of 24 kHz does not reach the
// log, and what others write there does.
func TestFLACQuiet(t *testing.T) {
	var out bytes.Buffer
	before := log.Writer()
	log.SetOutput(&out)
	defer log.SetOutput(before)

	file := bytes.Clone(tiny(t, "flac"))
	claim := binary.BigEndian.Uint64(file[18:])
	binary.BigEndian.PutUint64(file[18:], claim&(1<<44-1)|24000<<44) // the rate, 20 bits
	first := bytes.Index(file, []byte("\xff\xf8"))
	file[first+2] = file[first+2]&0xf0 | 7 // 24 kHz in the head of the first block
	for range 2 {
		if _, err := readAlone(bytes.NewReader(file)); err == nil {
			t.Fatal("a block with a wrong checksum was read")
		}
	}
	if out.Len() > 0 {
		t.Errorf("the log has %q", &out)
	}
	log.Print("a line of others")
	if n := bytes.Count(out.Bytes(), []byte("a line of others\n")); n != 1 {
		t.Errorf("the log has %d lines of others, want 1: %q", n, &out)
	}
}
