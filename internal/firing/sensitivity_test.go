package firing_test

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/noise"
	"topnote/internal/shaft"
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

// each calls do with every number of the options, by its path.
func each(v reflect.Value, path string, do func(path string, v reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			each(v.Field(i), strings.TrimPrefix(path+"."+v.Type().Field(i).Name, "."), do)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			each(v.Index(i), fmt.Sprintf("%s[%d]", path, i), do)
		}
	case reflect.Float64, reflect.Int:
		do(path, v)
	}
}

// ofFrame matches what the kinds of frames have in common.
var ofFrame = regexp.MustCompile(`^Shaft\.(Spectra\[\d\]|Envelope)\.`)

// named gives the name that a number is moved by: frames of different kinds move
// together where they have the same value.
func named(path string, v reflect.Value) string {
	if at := ofFrame.FindString(path); at != "" {
		return fmt.Sprintf("Shaft.Frame.%s=%v", path[len(at):], v.Interface())
	}
	return path
}

// move multiplies a number, an integer by at least a step. 0 moves by the difference.
func move(o *numbers, name string, by float64) {
	each(reflect.ValueOf(o).Elem(), "", func(path string, v reflect.Value) {
		switch {
		case named(path, v) != name:
		case v.Kind() == reflect.Int:
			n := int64(math.Round(float64(v.Int()) * by))
			if n == v.Int() {
				n += int64(math.Copysign(1, by-1))
			}
			v.SetInt(n)
		case v.Float() == 0:
			v.SetFloat(by - 1)
		default:
			v.SetFloat(v.Float() * by)
		}
	})
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

// TestSensitivity moves one number at a time by a fifth down and a quarter up, over the
// recordings, and prints the table of docs/method.md. It fails only where such a move
// makes multiples of more than 5 % of the frames, a floor that nothing requires.
func TestSensitivity(t *testing.T) {
	if *sensitivity == "" {
		t.Skip("takes a few seconds for each number; run with -sensitivity . to print the table of docs/method.md")
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
	seen := map[string]bool{}
	each(reflect.ValueOf(defaultNumbers()).Elem(), "", func(path string, v reflect.Value) {
		name := named(path, v)
		if seen[name] || !chosen.MatchString(name) {
			return
		}
		seen[name] = true
		for _, by := range []float64{0.8, 1.25} {
			o := defaultNumbers()
			move(o, name, by)
			r := try(o)
			t.Log(r.row(name, fmt.Sprintf("x %.2f", by), r.changed(base)))
			if share := percent(r.multiples, r.frames); share > 5 {
				t.Errorf("%s x %v: %.1f %% multiples", name, by, share)
			}
		}
	})
}
