package book

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestSounds: a recording is kept with its pass, comes back as it was, survives a backup,
// and is gone with its room after it was taken out; the pass stays.
func TestSounds(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "book.sqlite")
	b, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.AddMachine(Machine{Name: "saw", Engine: madeReport("x", 12000).Engine}); err != nil {
		t.Fatal(err)
	}
	number, err := b.AddPass(Pass{Machine: "saw", Recorded: time.Now(), Report: madeReport("x", 12000)}, false)
	if err != nil {
		t.Fatal(err)
	}
	recording := bytes.Repeat([]byte{0, 1, 2, 255}, 500_000)
	for _, c := range []struct {
		pass      int64
		recording []byte
		want      error
	}{{number + 1, recording, ErrUnknown}, {number, nil, ErrEntry}, {number, make([]byte, MaxSound+1), ErrEntry}, {number, recording, nil}, {number, []byte("another"), nil}} {
		if err := b.KeepSound(c.pass, c.recording); !errors.Is(err, c.want) {
			t.Errorf("%d bytes for pass %d: %v", len(c.recording), c.pass, err)
		}
	}
	kept, err := b.Sounds()
	if s := kept[number]; err != nil || len(kept) != 1 || s.Bytes != int64(len(recording)) || time.Since(s.Kept) > time.Minute {
		t.Errorf("it keeps %v, %v", kept, err)
	}
	copied := filepath.Join(t.TempDir(), "copy.sqlite")
	if err := b.Backup(copied); err != nil {
		t.Fatal(err)
	}
	c, err := Open(copied)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	for _, one := range []*Book{b, c} {
		if got, err := one.Sound(number); err != nil || !bytes.Equal(got, recording) {
			t.Errorf("%d bytes come back, %v", len(got), err)
		}
	}
	forgotten(t, b, number)
	if _, err := c.db.Exec("UPDATE sounds SET recording = zeroblob(8)"); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Sound(number); !errors.Is(err, ErrFile) {
		t.Errorf("a recording whose bytes changed: %v", err)
	}
}

// forgotten takes the recording of a pass out, and sees that the pass stays.
func forgotten(t *testing.T, b *Book, number int64) {
	t.Helper()
	if err := b.ForgetSound(number); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Sound(number); !errors.Is(err, ErrUnknown) {
		t.Errorf("after it was taken out: %v", err)
	}
	if err := b.ForgetSound(number); !errors.Is(err, ErrUnknown) {
		t.Errorf("taken out twice: %v", err)
	}
	if p, err := b.Pass(number); err != nil || p.Report.TopEnd.SustainedRPM != 12000 {
		t.Errorf("the pass: %+v, %v", p, err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(b.path); err != nil || info.Size() > 500_000 {
		t.Errorf("the file still has %d bytes, %v", info.Size(), err)
	}
}
