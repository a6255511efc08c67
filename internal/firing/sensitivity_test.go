package firing_test

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/noise"
	"topnote/internal/shaft"
	"topnote/internal/vary"
)

var sensitivity = flag.String("sensitivity", "", "numbers that TestSensitivity moves: a regular expression for names such as Shaft.Gate.MinRun; . for all")

// numbers are all options between the sound and the firing.
type numbers struct {
	Mains  noise.MainsOptions
	Shaft  shaft.Options
	Firing firing.Options
}

func defaultNumbers() *numbers {
	return &numbers{noise.DefaultMains(), shaft.Default(), firing.Default()}
}

// followWith follows an engine with all the numbers given.
func followWith(t *testing.T, x audio.Signal, rate engine.Hz, o *numbers) shaft.Track {
	t.Helper()
	mains, err := noise.FindMainsWith(t.Context(), x, rate, o.Mains)
	if err != nil {
		t.Fatal(err)
	}
	x = mains.Remove(x)
	track, err := shaft.FollowWith(t.Context(), x, rate, engine.Machine{Spec: engine.TwoStrokeSingle}, o.Shaft)
	if err != nil {
		t.Fatal(err)
	}
	if track, _, err = o.Firing.Classify(t.Context(), x, rate, track, engine.TwoStrokeSingle); err != nil {
		t.Fatal(err)
	}
	return track
}

// outcome is what some numbers make of all recordings.
type outcome struct {
	score
	alarms int
	tracks []shaft.Track
}

// changed gives the share of the points, in percent, that one outcome reads otherwise
// than another: by more than 0.5 %, or with another firing.
func (a outcome) changed(b outcome) float64 {
	changed, all := 0, 0
	for i, tr := range a.tracks {
		for k, p := range tr.Points {
			all++
			if k >= len(b.tracks[i].Points) {
				changed++
			} else if q := b.tracks[i].Points[k]; p.Fires != q.Fires || math.Abs(float64(p.Speed-q.Speed)) > truthUnsure*float64(q.Speed) {
				changed++
			}
		}
	}
	return percent(changed, all)
}

func (a outcome) row(name, by string, changed float64) string {
	return fmt.Sprintf("| `%s` | %s | %.2f | %.2f | %.3f | %.1f | %.1f | %d | %.1f |", name, by,
		percent(a.gross, a.frames), percent(a.multiples, a.frames), a.quantile(0.5), percent(a.firingYes, a.firing), percent(a.firingExact, a.firing), a.alarms, changed)
}

// TestSensitivity moves one number at a time to 0.7 and 1.4 times what it is, over the
// recordings, and prints the table of docs/sensitivity.md. It fails only where such a move
// makes multiples of more than 5 % of the frames, a floor that nothing requires.
func TestSensitivity(t *testing.T) {
	if *sensitivity == "" {
		t.Skip("takes a few seconds for each number; run with -sensitivity . to print the table of docs/sensitivity.md")
	}
	clips, empty, chosen := fieldClips(t), noEngineClips(t), regexp.MustCompile(*sensitivity)
	try := func(o *numbers) (r outcome) {
		for _, c := range clips {
			tr := followWith(t, c.sound.Samples, c.sound.Rate, o)
			r.clip(tr, c)
			r.tracks = append(r.tracks, tr)
		}
		for _, name := range slices.Sorted(maps.Keys(empty)) {
			tr := followWith(t, empty[name].Samples, empty[name].Rate, o)
			if tr.Told() >= alarmAfter {
				r.alarms++
			}
			r.tracks = append(r.tracks, tr)
		}
		return r
	}
	base := try(defaultNumbers())
	t.Log(base.row("as it is", "", 0))
	for _, name := range vary.Names(defaultNumbers()) {
		if !chosen.MatchString(name) {
			continue
		}
		for _, by := range []float64{0.7, 1.4} {
			o := defaultNumbers()
			vary.Move(o, name, by)
			r := try(o)
			t.Log(r.row(name, fmt.Sprintf("x %.1f", by), r.changed(base)))
			if share := percent(r.multiples, r.frames); share > 5 {
				t.Errorf("%s x %v: %.1f %% multiples", name, by, share)
			}
		}
	}
}
