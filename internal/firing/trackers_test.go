package firing_test

import (
	"bufio"
	"cmp"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// TestTrackers scores the readings of other programs as Topnote's own: lines of
// seconds and hertz in READINGS/TRACKER/CLIP.wav.txt. docs/trackers.sh makes
// them; the table is in docs/accuracy.md.
func TestTrackers(t *testing.T) {
	folder := os.Getenv("READINGS")
	if folder == "" {
		t.Skip("readings of other trackers are made by docs/trackers.sh, which runs this test")
	}
	clips := fieldClips(t)
	type result struct {
		name string
		score
	}
	var results []result
	ours := result{name: "topnote"}
	for _, s := range scoreAll(t, clips, defaults()) {
		ours.add(s)
	}
	results = append(results, ours)
	dirs, err := filepath.Glob(filepath.Join(folder, "*-*"))
	if err != nil || len(dirs) == 0 {
		t.Fatalf("no readings in %s (%v)", folder, err)
	}
	for _, dir := range dirs {
		r := result{name: filepath.Base(dir)}
		for _, c := range clips {
			var s score
			s.clip(readings(t, filepath.Join(dir, c.Name+".txt"), c), c)
			r.add(s)
		}
		results = append(results, r)
	}
	slices.SortFunc(results, func(a, b result) int { return cmp.Compare(a.gross, b.gross) })
	t.Log("| tracker | gross % | of it not told % | multiples % | median of the rest % |")
	t.Log("| --- | --- | --- | --- | --- |")
	for _, r := range results {
		t.Logf("| %s | %.1f | %.1f | %.1f | %.2f |", r.name, percent(r.gross, r.frames), percent(r.missing, r.frames), percent(r.multiples, r.frames), r.quantile(0.5))
	}
	if results[0].name != ours.name {
		t.Errorf("%s has fewer gross errors than topnote", results[0].name)
	}
}

// readings reads a tracker's lines and gives, at every hop, the nearest one; a
// frequency outside of the search is none.
func readings(t *testing.T, path string, c fieldClip) shaft.Track {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	o := defaults()
	tr := shaft.Track{Hop: o.Hop, Points: make([]shaft.Point, int(float64(c.sound.Samples.Len())/float64(c.sound.Rate)/float64(o.Hop))+1)}
	apart := make([]float64, len(tr.Points))
	for i := range apart {
		apart[i] = float64(o.Hop)
	}
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		var at, hz float64
		if _, err := fmt.Sscan(lines.Text(), &at, &hz); err != nil {
			t.Fatalf("%s: %q: %v", path, lines.Text(), err)
		}
		speed := engine.Hz(hz).RPM()
		if speed < o.MinSpeed || speed > o.MaxSpeed {
			speed = 0
		}
		middle := int(math.Round(at / float64(o.Hop)))
		for i := max(0, middle-1); i <= min(middle+1, len(tr.Points)-1); i++ {
			if d := math.Abs(at - float64(i)*float64(o.Hop)); d < apart[i] {
				apart[i] = d
				tr.Points[i].Speed = speed
			}
		}
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return tr
}
