package audio

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"slices"
	"sync"
	"syscall"
	"testing"

	"pgregory.net/rapid"
)

// TestSpoolIsSlice: whatever is appended, in memory or in a file, any segment of the
// spool is that of the slice with the same samples.
func TestSpoolIsSlice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30_000)
		s := NewSpool(Options{Keep: n.Draw(t, "keep"), Expect: n.Draw(t, "expect")})
		defer s.Close()
		var want Memory
		for range rapid.IntRange(0, 6).Draw(t, "pieces") {
			piece := make([]float32, n.Draw(t, "samples"))
			for i := range piece {
				piece[i] = float32(len(want) + i)
			}
			if err := s.Append(piece); err != nil {
				t.Fatal(err)
			}
			want = append(want, piece...)
		}
		if by := rapid.Float32Range(0.5, 100).Draw(t, "by"); by > 1 {
			s.Divide(by)
			for i := range want {
				want[i] /= by
			}
		}
		if got := s.Len(); got != len(want) {
			t.Fatalf("%d samples, want %d", got, len(want))
		}
		var buf []float32
		for range 5 {
			from := rapid.IntRange(0, len(want)).Draw(t, "from")
			to := rapid.IntRange(from, len(want)).Draw(t, "to")
			var err error
			if buf, err = s.Segment(buf, from, to); err != nil || !slices.Equal(buf, want[from:to]) {
				t.Fatalf("samples %d to %d of %d differ (%v)", from, to, len(want), err)
			}
			var joined []float32
			for chunk, err := range Chunks(s, from, to, 1+n.Draw(t, "size")) {
				if err != nil || chunk.From != from+len(joined) {
					t.Fatalf("a chunk from %d, want %d (%v)", chunk.From, from+len(joined), err)
				}
				joined = append(joined, chunk.Samples...)
			}
			if !slices.Equal(joined, want[from:to]) {
				t.Fatalf("the pieces from %d to %d differ", from, to)
			}
		}
		if all, err := All(s); err != nil || !slices.Equal(all, want) {
			t.Fatalf("the whole differs (%v)", err)
		}
	})
}

// TestCentered: what is near a sample is the same in the segment as in the whole,
// also where the sample is beyond either end.
func TestCentered(t *testing.T) {
	x := Memory{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}
	for centre := -5; centre < 16; centre++ {
		for reach := range 12 {
			near, at, err := Centered(x, nil, centre, reach)
			if err != nil {
				t.Fatal(err)
			}
			for d := -reach; d <= reach; d++ {
				inside := centre+d >= 0 && centre+d < len(x)
				if inside != (at+d >= 0 && at+d < len(near)) || inside && near[at+d] != x[centre+d] {
					t.Fatalf("%d from %d with reach %d: %v at %d", d, centre, reach, near, at)
				}
			}
		}
	}
}

// spilled gives a spool with its samples, 0, 1, 2 ..., in a file.
func spilled(t *testing.T, n int) *Spool {
	t.Helper()
	s := NewSpool(Options{Keep: n / 2})
	t.Cleanup(func() { s.Close() })
	for i := range n {
		if err := s.Append([]float32{float32(i)}); err != nil {
			t.Fatal(err)
		}
	}
	if s.file == nil || s.memory != nil {
		t.Fatal("the samples are still in memory")
	}
	return s
}

// TestManyReaders reads one file from several goroutines at once.
func TestManyReaders(t *testing.T) {
	const n, readers = 50_000, 4
	s := spilled(t, n)
	var group sync.WaitGroup
	for r := range readers {
		group.Go(func() {
			var buf []float32
			for from := 100 * r; from+10_000 < n; from += 777 {
				var err error
				if buf, err = s.Segment(buf, from, from+10_000); err != nil {
					t.Error(err)
					return
				}
				for i, v := range buf {
					if v != float32(from+i) {
						t.Errorf("sample %d is %v", from+i, v)
						return
					}
				}
			}
		})
	}
	group.Wait()
}

// TestNothingLeft: the folder for temporary files holds nothing, even while the
// sound is in it. On a system that removes a file with its last user, it does so.
func TestNothingLeft(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	t.Setenv("TMP", dir)
	s := spilled(t, 1000)
	left, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, windows := os.LookupEnv("SystemRoot"); !windows && len(left) > 0 {
		t.Errorf("%v while it is used", left)
	}
	for range 2 {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
	if _, err := s.Segment(nil, 1, 3); !errors.Is(err, fs.ErrClosed) {
		t.Errorf("after the end: %v", err)
	}
}

// TestNoPlace: where no file can be made, the sound stays in memory.
func TestNoPlace(t *testing.T) {
	s := NewSpool(Options{Keep: 2, create: func() (file, error) { return nil, fs.ErrPermission }})
	for i := range 10 {
		if err := s.Append([]float32{float32(i)}); err != nil {
			t.Fatal(err)
		}
	}
	if x, err := All(s); !slices.Equal(x, []float32{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}) || err != nil || s.Close() != nil {
		t.Errorf("%v, %v", x, err)
	}
}

// badDisk takes so many bytes, and gives back so many.
type badDisk struct {
	file
	takes, gives int
}

func (d *badDisk) Write(p []byte) (int, error) {
	if d.takes -= len(p); d.takes < 0 {
		return 0, syscall.ENOSPC
	}
	return d.file.Write(p)
}

func (d *badDisk) ReadAt(p []byte, at int64) (int, error) {
	if d.gives -= len(p); d.gives < 0 {
		return 0, syscall.EIO
	}
	return d.file.ReadAt(p, at)
}

// TestBadDisk: an error of the disk is returned by the call that met it.
func TestBadDisk(t *testing.T) {
	on := func(d badDisk) (*Spool, error) {
		s := NewSpool(Options{Keep: 10, create: func() (file, error) {
			var err error
			d.file, err = createUnnamed()
			return &d, err
		}})
		t.Cleanup(func() { s.Close() })
		for range 100 {
			if err := s.Append([]float32{1, 2, 3}); err != nil {
				return s, err
			}
		}
		return s, nil
	}
	if _, err := on(badDisk{takes: 500, gives: math.MaxInt}); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("on a full disk: %v", err)
	}
	broken, err := on(badDisk{takes: math.MaxInt, gives: 30})
	if err != nil {
		t.Fatal(err)
	}
	if x, err := broken.Segment(nil, 0, 3); !slices.Equal(x, []float32{1, 2, 3}) || err != nil {
		t.Errorf("before the disk breaks: %v, %v", x, err)
	}
	if _, err := broken.Segment(nil, 0, 6); !errors.Is(err, syscall.EIO) {
		t.Errorf("as the disk breaks: %v", err)
	}
	for chunk, err := range Chunks(broken, 0, 9, 3) {
		if !errors.Is(err, syscall.EIO) || chunk.From != 0 {
			t.Errorf("chunk at %d: %v, want an error at once and no more", chunk.From, err)
		}
	}
}

// TestOutside: a segment outside the signal is a fault of the program,
// in memory and in a file.
func TestOutside(t *testing.T) {
	for _, x := range []Signal{make(Memory, 10, 20), spilled(t, 10)} {
		for _, r := range [][2]int{{-1, 2}, {3, 2}, {5, 11}} {
			func() {
				defer func() {
					if recover() == nil {
						t.Errorf("%T: from %d to %d did not panic", x, r[0], r[1])
					}
				}()
				x.Segment(nil, r[0], r[1])
			}()
		}
	}
}

// BenchmarkSegment reads a minute of sound from a file, a second at a time.
func BenchmarkSegment(b *testing.B) {
	const second = 8000
	s := NewSpool(Options{Keep: second})
	defer s.Close()
	for range 60 {
		s.Append(make([]float32, second))
	}
	b.SetBytes(int64(sampleBytes * s.Len()))
	b.ReportAllocs()
	for b.Loop() {
		for _, err := range Chunks(s, 0, s.Len(), second) {
			if err != nil {
				b.Fatal(err)
			}
		}
	}
}
