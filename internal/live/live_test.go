package live_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/measure"
	"topnote/internal/needle"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// wavOf gives a scene as the bytes of a WAV file.
func wavOf(t testing.TB, s synth.Scene) []byte {
	t.Helper()
	file := filepath.Join(t.TempDir(), "scene.wav")
	if err := clip.WriteWAVFile(file, s.Render().Samples, s.Rate); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// heard is what a Listen told.
type heard struct {
	readings []needle.Reading
	rows     []live.Row
}

func listen(t testing.TB, r io.Reader, o live.Options) (h heard) {
	t.Helper()
	err := live.Listen(context.Background(), r, o, live.Handler{
		Reading: func(r needle.Reading) error { h.readings = append(h.readings, r); return nil },
		Row:     func(r live.Row) error { h.rows = append(h.rows, r); return nil },
	})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func saw(limit engine.RPM) engine.Machine {
	return engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: limit}}
}

// TestRows: each opening has a row as soon as it is over, the same that measure gives
// for the whole recording.
func TestRows(t *testing.T) {
	if race.Enabled {
		t.Skip("measures a long clip; TestStop has the goroutines")
	}
	const after = 2.0 // s of sound from letting go to the row, the bar
	wav := wavOf(t, synth.Tuning(12200, 12500, 12800))
	h := listen(t, bytes.NewReader(wav), live.Default(saw(13500)))
	m, err := measure.Stream(bytes.NewReader(wav), "-", saw(13500))
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	want := m.Report.Openings
	if len(h.rows) != len(want) || len(want) != 3 {
		t.Fatalf("%d rows live, %d of the recording, want 3", len(h.rows), len(want))
	}
	for i, r := range h.rows {
		w := want[i]
		if r.Number != i+1 || r.Code != w.Code || math.Abs(float64(r.SustainedRPM-w.SustainedRPM)) > 2*(r.SDRPM+w.SDRPM) || math.Abs(r.FourStrokingShare-w.FourStrokingShare) > 0.1 {
			t.Errorf("row %d: %+v, of the recording %+v", i+1, r.Opening, w)
		}
		if math.Abs(r.FromS-w.FromS) > 0.5 {
			t.Errorf("row %d opens at %.2f s, of the recording at %.2f s", i+1, r.FromS, w.FromS)
		}
		letGo := 2 + 7.2*float64(i) + 3.0
		t.Logf("row %d: given to be measured %.2f s after letting go", i+1, float64(r.Heard)-letGo)
		if float64(r.Heard)-letGo > after-0.3 { // 0.3 s for measuring it
			t.Errorf("row %d is only measured %.2f s after letting go", i+1, float64(r.Heard)-letGo)
		}
	}
}

// TestWarnings: over the limit is said while it is so and not below it; after five
// seconds of full throttle it is said to let go.
func TestWarnings(t *testing.T) {
	long := synth.Tuning(12000)
	long.Profile = synth.Pass{Idle: 2800, Top: 12000, IdleFor: 1, RiseIn: 0.5, HoldFor: 7, FallIn: 1, ReturnFor: 1}.Profile()
	wav := wavOf(t, long)
	for _, c := range []struct {
		limit engine.RPM
		want  needle.Warning
		from  engine.Seconds
		to    engine.Seconds
	}{
		{11500, needle.OverLimit, 2.5, 8},
		{13500, needle.LetGo, 7.2, 8},
		{0, needle.LetGo, 7.2, 8},
	} {
		for _, r := range listen(t, bytes.NewReader(wav), live.Default(saw(c.limit))).readings {
			inside, far := r.At >= c.from && r.At <= c.to, r.At < c.from-1 || r.At > c.to+1
			if inside && r.Speed.Told() && r.Warn != c.want || far && r.Warn != needle.NoWarning {
				t.Errorf("limit %.0f: at %.2f s and %.0f rpm the warning is %q", c.limit, r.At, r.Speed, r.Warn)
				break
			}
		}
	}
}

// pieces reads in random pieces.
type pieces struct {
	r   io.Reader
	rng *rand.Rand
}

func (p pieces) Read(b []byte) (int, error) { return p.r.Read(b[:min(len(b), 1+p.rng.IntN(3000))]) }

// TestSources: the same sound gives the same readings as a file, as a pipe in pieces,
// with a header whose sizes are 0 or unknown, and as raw samples; only the count of
// what was heard may differ where nothing else does.
func TestSources(t *testing.T) {
	wav := wavOf(t, synth.Tuning(12000))[:44+2*22050*race.Fewer(4, 2)]
	o := live.Default(saw(13500))
	want := listen(t, bytes.NewReader(wav), o)
	sizes := func(v uint32) []byte {
		b := slices.Clone(wav)
		binary.LittleEndian.PutUint32(b[4:], v)
		binary.LittleEndian.PutUint32(b[40:], v)
		return b
	}
	raw := o
	raw.Rate = 22050
	for name, c := range map[string]struct {
		r io.Reader
		o live.Options
	}{
		"in pieces":      {pieces{bytes.NewReader(wav), rand.New(rand.NewPCG(1, 1))}, o},
		"sizes 0":        {bytes.NewReader(sizes(0)), o},
		"sizes unknown":  {pieces{bytes.NewReader(sizes(math.MaxUint32)), rand.New(rand.NewPCG(2, 1))}, o},
		"raw":            {bytes.NewReader(wav[44:]), raw},
		"raw in samples": {pieces{bytes.NewReader(wav[44:]), rand.New(rand.NewPCG(3, 1))}, raw},
	} {
		got := listen(t, c.r, c.o)
		if !slices.Equal(got.readings, want.readings) {
			t.Errorf("%s: the readings differ", name)
		}
	}
}

// TestStop: the end of the context ends Listen without an error, though the sound
// waits, and what was open is measured. An error of the handler ends it with that.
func TestStop(t *testing.T) {
	wav := wavOf(t, synth.Tuning(12000))[:44+2*22050*4] // at full throttle
	ctx, cancel := context.WithCancel(t.Context())
	r, w := io.Pipe()
	defer w.Close()
	go func() {
		w.Write(wav) // Listen reads it, or its end closes the pipe
	}()
	rows := 0
	err := live.Listen(ctx, r, live.Default(saw(13500)), live.Handler{
		Reading: func(r needle.Reading) error {
			if r.At > 3.4 {
				cancel()
			}
			return nil
		},
		Row: func(live.Row) error { rows++; return nil },
	})
	if err != nil || rows != 1 {
		t.Errorf("stopped: error %v, %d rows", err, rows)
	}
	enough := errors.New("enough")
	err = live.Listen(t.Context(), bytes.NewReader(wav), live.Default(saw(13500)), live.Handler{Reading: func(needle.Reading) error { return enough }})
	if !errors.Is(err, enough) {
		t.Errorf("the handler's error became %v", err)
	}
}

// TestFirstReading: the first readings come as soon as their sound is there; nothing
// waits for a buffer to fill.
func TestFirstReading(t *testing.T) {
	wav := wavOf(t, synth.Tuning(12000))[:44+2*22050/2] // half a second
	r, w := io.Pipe()
	defer w.Close()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	go func() {
		w.Write(wav) // and then nothing: the pipe stays open
	}()
	last := engine.Seconds(-1)
	err := live.Listen(ctx, r, live.Default(saw(13500)), live.Handler{Reading: func(r needle.Reading) error {
		if last = r.At; last > 0.1 {
			cancel()
		}
		return nil
	}})
	if err != nil || last < 0.1 {
		t.Errorf("from half a second of sound the last reading is of %v s, error %v", last, err)
	}
}

// TestBadSound: what is no sound is a *clip.Problem.
func TestBadSound(t *testing.T) {
	raw := live.Default(saw(0))
	raw.Rate = 100
	for name, c := range map[string]struct {
		bytes string
		o     live.Options
	}{
		"empty": {"", live.Default(saw(0))}, "text": {"this is a letter and no sound at all", live.Default(saw(0))}, "rate": {"0123", raw},
	} {
		var p *clip.Problem
		if err := live.Listen(t.Context(), bytes.NewReader([]byte(c.bytes)), c.o, live.Handler{}); !errors.As(err, &p) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestLevels: a whisper is too quiet, clipping too loud.
func TestLevels(t *testing.T) {
	for _, c := range []struct {
		peak int16
		want needle.Level
	}{{100, needle.TooQuiet}, {8000, needle.Good}, {32767, needle.TooLoud}} {
		x := make([]int16, 2*8000)
		for i := range x {
			x[i] = int16(float64(c.peak) * math.Sin(float64(i)))
		}
		all := listen(t, bytes.NewReader(clip.WAVOf(x, 8000, 1)), live.Default(saw(0))).readings
		if got := all[len(all)-1].Level; got != c.want {
			t.Errorf("peak %d: %s, want %s", c.peak, got, c.want)
		}
	}
}
