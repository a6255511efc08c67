package live_test

import (
	"bytes"
	"encoding/binary"
	"flag"
	"io"
	"math"
	"runtime"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
	"topnote/internal/race"
	"topnote/internal/synth"
)

var hours = flag.Float64("hours", 0.05, "so many hours of sound that TestMemory listens to; the bar of the issue is two")

// TestMemory: what is kept does not grow with the sound, rows, hum and a second engine
// included. It counts the live heap and no time.
func TestMemory(t *testing.T) {
	if testing.Short() || race.Enabled {
		t.Skip("listens for minutes; TestStreamMemory of package shaft has the state of the needle")
	}
	const (
		every engine.Seconds = 5       // of sound, between two looks
		full  engine.Seconds = 60      // from which on nothing may grow: the tape has its length
		over  engine.Seconds = 60      // of looks that the least counts of: a row in the making needs some MB
		slack                = 1 << 20 // bytes
	)
	length := engine.Seconds(*hours * 3600)
	looked, early, late, rows := engine.Seconds(0), uint64(math.MaxUint64), uint64(math.MaxUint64), 0
	handler := live.Handler{
		Reading: func(r needle.Reading) error {
			if r.Heard < looked+every {
				return nil
			}
			looked = r.Heard
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			if looked > full && looked <= full+over {
				early = min(early, m.HeapAlloc)
			}
			if looked > length-over {
				late = min(late, m.HeapAlloc)
			}
			return nil
		},
		Row: func(live.Row) error { rows++; return nil },
	}
	o := live.Default(saw(13500))
	o.Rate = 22050
	if err := live.Listen(t.Context(), passAfterPass(length, o.Rate), o, handler); err != nil {
		t.Fatal(err)
	}
	t.Logf("%.0f s of sound, %d rows: a live heap of %.1f MB after a minute and of %.1f MB at the end", float64(looked), rows, float64(early)/(1<<20), float64(late)/(1<<20))
	if looked < length-2*every || rows < int(length/engine.Seconds(30)) {
		t.Errorf("%d rows in %v s", rows, looked)
	}
	if late > early+slack {
		t.Errorf("the live heap grows from %d to %d bytes", early, late)
	}
}

// passAfterPass gives the raw samples of a pass with hum, again and again, for so long.
func passAfterPass(length engine.Seconds, rate int) io.Reader {
	var b bytes.Buffer
	for i, v := range synth.Samples()[0].Scene.Render().Samples {
		for k := 1; k < 4; k++ {
			v += float32(0.005 * math.Sin(2*math.Pi*50*float64(k*i)/float64(rate)))
		}
		binary.Write(&b, binary.LittleEndian, int16(math.Round(float64(v)*32000))) // to memory
	}
	return io.LimitReader(&loop{pass: b.Bytes()}, int64(float64(length)*float64(rate))*2)
}

// loop gives the same bytes for ever.
type loop struct {
	pass []byte
	at   int
}

// Read implements io.Reader.
func (l *loop) Read(p []byte) (int, error) {
	n := copy(p, l.pass[l.at:])
	l.at = (l.at + n) % len(l.pass)
	return n, nil
}
