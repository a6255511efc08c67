package quality

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// recordings is where field recordings with speeds read by hand may lie.
var recordings = filepath.Join("..", "..", "..", "shared", "recordings")

// handRead is what was read by hand from one recording.
type handRead struct {
	Clip  string
	Speed []struct {
		TimeS []float64    `json:"t_s"`
		RPM   []engine.RPM `json:"rpm"`
	}
	Firing []struct {
		FromS float64 `json:"from_s"`
		ToS   float64 `json:"to_s"`
		Every int     `json:"fires_every_rev"`
	}
}

// track gives what was read as a track; outside the spans nothing is told.
func (r handRead) track(length engine.Seconds) shaft.Track {
	t := shaft.Track{Hop: 0.02}
	for at := engine.Seconds(0); at < length; at += t.Hop {
		t.Points = append(t.Points, shaft.Point{At: at})
	}
	at := func(s float64) int { return min(int(math.Round(s/float64(t.Hop))), len(t.Points)-1) }
	for _, span := range r.Speed {
		for i, s := range span.TimeS {
			p := &t.Points[at(s)]
			p.Speed, p.SD, p.Confidence = span.RPM[i], 0.005*span.RPM[i], 1
		}
	}
	for _, f := range r.Firing {
		for i := at(f.FromS); i <= at(f.ToS); i++ {
			t.Points[i].Fires = shaft.Firing(f.Every)
		}
	}
	return t
}

// readByHand gives what was read by hand from the recordings, and skips the test
// where they are not.
func readByHand(t *testing.T) []handRead {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(recordings, "truth.json"))
	if err != nil {
		t.Skip("the field recordings are not here: they lie outside the repository")
	}
	var all []handRead
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// TestRecordings: problems that hardly one of the field recordings has are not found
// in many of them.
func TestRecordings(t *testing.T) {
	all := readByHand(t)
	told := 0
	found := map[Code]int{}
	for _, r := range all {
		sound, err := clip.Open(filepath.Join(recordings, "engine", r.Clip))
		if err != nil {
			t.Fatal(err)
		}
		track := r.track(sound.Info.Duration)
		h := must(assess(sound, track, engine.TwoStrokeSingle))
		q := h.Judge(nil)
		for _, p := range q.Problems {
			found[p.Code]++
		}
		if q.SNR == nil {
			continue
		}
		told++
		if *q.SNR < 3 || *q.SNR > 40 {
			t.Errorf("%s: the engine stands %.1f dB out of the background", r.Clip, *q.SNR)
		}
	}
	t.Logf("of %d recordings: %v", len(all), found)
	if told < len(all)*3/4 {
		t.Errorf("how far the engine stands out was told for %d of %d recordings", told, len(all))
	}
	const most = 1 // of 20
	for _, code := range []Code{MoreThanOneEngine, TooQuiet, Hum, NarrowBand, Clipping, Speech, AutomaticGain} {
		if found[code] > most {
			t.Errorf("%s in %d of %d recordings", code, found[code], len(all))
		}
	}
}

// TestNoEngine: without a track there is neither a level nor a problem.
func TestNoEngine(t *testing.T) {
	clips, _ := filepath.Glob(filepath.Join(recordings, "no-engine", "*.wav"))
	if len(clips) == 0 {
		t.Skip("the field recordings are not here: they lie outside the repository")
	}
	for _, path := range clips {
		sound, err := clip.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		q := must(assess(sound, shaft.Track{Hop: 0.02}, engine.TwoStrokeSingle)).Judge(nil)
		if q.SNR != nil || len(q.Problems) > 0 {
			t.Errorf("%s: %+v", filepath.Base(path), q)
		}
	}
}
