package clip

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// raced is sound of an engine at 12,000 rpm: pulses with a little jitter, and noise.
func raced(rate, n int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 2))
	x := make([]float32, n)
	next, since := 0.0, 1.0
	for i := range x {
		if float64(i) >= next {
			next += float64(rate) / 200 * (1 + 0.01*r.NormFloat64())
			since = 0
		}
		since += 1 / float64(rate)
		x[i] = float32(math.Round(32767*(0.4*math.Exp(-since/0.002)*math.Sin(2*math.Pi*700*since)+0.003*r.NormFloat64())) / 32768)
	}
	return x
}

// every4th cuts sound into buffers and passes every fourth, with the one before, to do.
func every4th(x []float32, size int, do func(before, b []float32) []float32) (out []float32) {
	var before []float32
	for b := range slices.Chunk(x, size) {
		if before != nil && len(out)/size%4 == 3 {
			b = do(before, b)
		}
		out = append(out, b...)
		before = b
	}
	return out
}

// TestIntegrity: buffers of 3 to 40 ms that are muted or repeated, and samples in pairs,
// are found. Lost buffers are found up to 10 ms; longer ones break the signal too seldom
// in 8 s (a known gap: they leave the speed as it is).
func TestIntegrity(t *testing.T) {
	t.Parallel()
	const rate = 22050
	x := raced(rate, 8*rate, 1)
	for _, ms := range []float64{3, 7.5, 20, 40} {
		size := int(ms * rate / 1000)
		lost := func() (out []float32) {
			n := 0
			for b := range slices.Chunk(x, size) {
				if n++; n%4 != 0 {
					out = append(out, b...)
				}
			}
			return out
		}
		for name, c := range map[string]struct {
			x    []float32
			find func(Integrity) bool
		}{
			"lost":     {lost(), func(g Integrity) bool { return g.SplicesPct > 0 }},
			"muted":    {every4th(x, size, func(_, b []float32) []float32 { return make([]float32, len(b)) }), func(g Integrity) bool { return g.SplicesPct > 0 }},
			"repeated": {every4th(x, size, func(before, b []float32) []float32 { return before[:min(len(before), len(b))] }), func(g Integrity) bool { return g.RepeatedPct > 2 }},
		} {
			const longestLost = 10 // ms
			if name == "lost" && ms > longestLost {
				continue
			}
			m := newIntegrityMeter(rate, defaultIntegrity())
			m.add(c.x)
			if g := m.integrity(); !c.find(g) {
				t.Errorf("%s buffers of %.1f ms: %+v", name, ms, g)
			}
		}
	}
	pairs := make([]float32, 0, 2*len(x))
	for _, v := range x {
		pairs = append(pairs, v, v)
	}
	m := newIntegrityMeter(rate, defaultIntegrity())
	m.add(pairs)
	if g := m.integrity(); g.PairedPct < 95 {
		t.Errorf("pairs: %+v", g)
	}
}

// TestIntegrityOfRecordings: nothing is found in samples and recordings as they are.
func TestIntegrityOfRecordings(t *testing.T) {
	t.Parallel()
	var files []string
	for _, pattern := range []string{"../../samples/*.wav", "../../../shared/recordings/*/*.wav"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	if len(files) < 20 {
		t.Logf("only %d files: the recordings outside the repository are absent", len(files))
	}
	for _, f := range files {
		s, err := Open(f)
		if err != nil {
			t.Fatal(err)
		}
		if s.Info.Integrity != (Integrity{}) && (s.Info.Integrity.SplicesPct > 0 || s.Info.Integrity.PairedPct > 50 || s.Info.Integrity.RepeatedPct > 0.2 || s.Info.Integrity.Contradicts) {
			t.Errorf("%s: %+v", filepath.Base(f), s.Info.Integrity)
		}
		s.Close()
	}
}

// TestContradictingHeader flips each bit of the rate, of the bits of a sample and of the
// size of a frame in a WAV file: where it is still read, the contradiction is told.
func TestContradictingHeader(t *testing.T) {
	t.Parallel()
	file, err := os.ReadFile("../../samples/clean.wav")
	if err != nil {
		t.Fatal(err)
	}
	const rateAt, blockAt, bitsAt = 24, 32, 34
	if got := binary.LittleEndian.Uint32(file[rateAt:]); got == 0 {
		t.Fatal("no rate where it should be")
	}
	for at, bits := range map[int]int{rateAt: 32, blockAt: 16, bitsAt: 16} {
		for bit := range bits {
			b := slices.Clone(file)
			b[at+bit/8] ^= 1 << (bit % 8)
			s, err := Read(bytes.NewReader(b), "clip")
			if err != nil {
				continue // refused, in words
			}
			if !s.Info.Integrity.Contradicts {
				t.Errorf("bit %d at %d: rate %v, not told", bit, at, s.Info.SampleRate)
			}
			s.Close()
		}
	}
}
