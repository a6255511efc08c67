package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/shaft"
)

func asJSON(t testing.TB, r report.Report) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteJSON(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestSchema holds the JSON to the fields of schema topnote.report/1, to the
// letter; source: the design of the report. Fields that may be left out or come
// on top have a question mark.
func TestSchema(t *testing.T) {
	fields := map[string]string{
		"":         "schema clip engine limits track phases top_end idle rise fall cut quality verdict ?state",
		"clip":     "file sha256 duration_s sample_rate_hz channels container codec ?used ?remarks",
		"engine":   "strokes cylinders ?kind ?carburettor ?governor ?coil_limit ?charge ?catalyst ?filter_compensated ?gear_ratio ?limit_of ?limit_is ?tolerance_rpm",
		"limits":   "max_rpm idle_rpm clutch_rpm",
		"track":    "t_s rpm sd_rpm confidence fires_every_rev",
		"phases":   "kind from_s to_s rpm_median rpm_min rpm_max four_stroking_share",
		"top_end":  "sustained_rpm sd_rpm peak_rpm from_s to_s four_stroking_share clean_share ?held_from_s ?held_to_s ?drift ?surge ?peak_sd_rpm ?four_stroking_sd ?mostly_four_stroking ?firing_shares ?overshoot_rpm ?overshoot_sd_rpm ?stutter",
		"quality":  "snr_db clipped_pct bandwidth_hz problems",
		"verdict":  "code says advice cautions other_reading_rpm ?findings ?asks",
		"problems": "code says",
	}
	var whole map[string]any
	if err := json.Unmarshal(asJSON(t, report.New(madeParts())), &whole); err != nil {
		t.Fatal(err)
	}
	first := func(v any) map[string]any { return v.([]any)[0].(map[string]any) }
	for name, want := range fields {
		var got map[string]any
		switch name {
		case "":
			got = whole
		case "track", "phases":
			got = first(whole[name])
		case "problems":
			got = first(whole["quality"].(map[string]any)[name])
		default:
			got = whole[name].(map[string]any)
		}
		allowed := make(map[string]bool)
		for _, f := range strings.Fields(want) {
			key, optional := strings.CutPrefix(f, "?")
			allowed[key] = true
			if _, there := got[key]; !there && !optional {
				t.Errorf("%q has no field %q", name, key)
			}
		}
		for key := range got {
			if !allowed[key] {
				t.Errorf("%q has a field %q that the schema lacks", name, key)
			}
		}
	}
	if whole["schema"] != "topnote.report/1" {
		t.Errorf("schema is %v", whole["schema"])
	}
}

// TestNulls holds what was not told to null, and empty lists to [].
func TestNulls(t *testing.T) {
	text := string(asJSON(t, report.New(bare())))
	for _, want := range []string{
		`"schema":"topnote.report/1"`,
		`"limits":{"max_rpm":null,"idle_rpm":null,"clutch_rpm":null}`,
		`"track":[]`, `"phases":[]`, `"top_end":null`, `"idle":null`, `"rise":null`, `"fall":null`, `"cut":null`,
		`"snr_db":null`, `"bandwidth_hz":null`, `"problems":[]`, `"advice":[]`, `"other_reading_rpm":null`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the report of silence lacks %s:\n%s", want, text)
		}
	}
	text = string(asJSON(t, report.New(madeParts())))
	if want := `{"t_s":0.01,"rpm":null,"sd_rpm":0,"confidence":0.2,"fires_every_rev":0}`; !strings.Contains(text, want) {
		t.Errorf("the report lacks %s:\n%s", want, text)
	}
}

func TestGoldenJSON(t *testing.T) {
	for name, p := range map[string]report.Parts{"over-limit.json": madeParts(), "no-engine.json": bare()} {
		var b bytes.Buffer
		if err := json.Indent(&b, asJSON(t, report.New(p)), "", "  "); err != nil {
			t.Fatal(err)
		}
		golden(t, name, b.Bytes())
	}
}

// drawnTrack draws a track of any readings that shaft may give.
func drawnTrack(t *rapid.T) shaft.Track {
	n := rapid.IntRange(0, 40).Draw(t, "points")
	track := shaft.Track{Hop: 0.01}
	for i := range n {
		p := shaft.Point{
			At:         engine.Seconds(float64(i) * 0.01),
			Confidence: rapid.Float64Range(0, 1).Draw(t, "confidence"),
			Fires:      shaft.Firing(rapid.IntRange(0, 4).Draw(t, "fires")),
		}
		if rapid.Bool().Draw(t, "told") {
			p.Speed = engine.RPM(rapid.Float64Range(500, 20000).Draw(t, "speed"))
			p.SD = engine.RPM(rapid.Float64Range(0, 2000).Draw(t, "sd"))
		}
		track.Points = append(track.Points, p)
	}
	return track
}

// members reads JSON with its numbers as they are written.
func members(t *rapid.T, text []byte) (v any) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

// TestThereAndBack: a report read back from its JSON is the same report, and
// what is written by hand is what encoding/json would write, but for characters
// that cannot be printed, which encoding/json does not spell out.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := madeParts()
		p.Track = drawnTrack(rt)
		p.Clip.File = rapid.String().Draw(rt, "file")
		if rapid.Bool().Draw(rt, "no top end") {
			p.Pass.TopEnd = nil
		}
		r := report.New(p)
		text := asJSON(t, r)
		back, err := report.ReadJSON(bytes.NewReader(text))
		if err != nil {
			rt.Fatal(err)
		}
		if again := asJSON(t, back); !bytes.Equal(text, again) {
			rt.Fatalf("there and back differs:\n%s\n%s", text, again)
		}
		plain, err := json.Marshal(r)
		if err != nil {
			rt.Fatal(err)
		}
		if diff := cmp.Diff(members(rt, plain), members(rt, text)); diff != "" {
			rt.Fatalf("by hand and by encoding/json differ:\n%s", diff)
		}
	})
}

// TestNewRounds: what JSON cannot carry, or would carry with noise, is gone.
func TestNewRounds(t *testing.T) {
	p := madeParts()
	p.Quality.SNR = decibel(engine.Decibel(math.Inf(-1)))
	p.Track.Points[1].Confidence = math.NaN()
	r := report.New(p)
	if r.Quality.SNRdB != nil || r.Track[1].Confidence != 0 {
		t.Errorf("no number became %v and %v, want nil and 0", r.Quality.SNRdB, r.Track[1].Confidence)
	}
	if got := r.Track[1].RPM; got != 2765.4 {
		t.Errorf("2765.4321 rpm became %v, want 2765.4", float64(got))
	}
	if got := r.Phases[0].ToS; got != 2.05 {
		t.Errorf("2.0504 s became %v, want 2.05", got)
	}
}

func TestReadJSONRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		text   string
		schema bool // ErrSchema is wanted, not a mistake in the JSON
	}{
		"empty":           {"", false},
		"cut off":         {`{"schema":"topnote.report/1","tra`, false},
		"a list":          {`[]`, false},
		"another schema":  {`{"schema":"topnote.report/9"}`, true},
		"no schema":       {`{}`, true},
		"fires too rare":  {`{"schema":"topnote.report/1","track":[{"t_s":0,"fires_every_rev":5}]}`, true},
		"fires below 0":   {`{"schema":"topnote.report/1","track":[{"t_s":0,"fires_every_rev":-1}]}`, true},
		"time stands":     {`{"schema":"topnote.report/1","track":[{"t_s":1},{"t_s":1}]}`, true},
		"a word as speed": {`{"schema":"topnote.report/1","track":[{"rpm":"fast"}]}`, false},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := report.ReadJSON(strings.NewReader(c.text))
			if err == nil {
				t.Fatal("it was read without an error")
			}
			if errors.Is(err, report.ErrSchema) != c.schema {
				t.Errorf("error %q; ErrSchema wanted: %v", err, c.schema)
			}
		})
	}
}

func FuzzReadJSON(f *testing.F) {
	f.Add(asJSON(f, report.New(madeParts())))
	f.Add(asJSON(f, report.New(bare())))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := report.ReadJSON(bytes.NewReader(text))
		if err != nil {
			return
		}
		once := asJSON(t, r)
		back, err := report.ReadJSON(bytes.NewReader(once))
		if err != nil {
			t.Fatalf("what was read and written cannot be read: %v", err)
		}
		if again := asJSON(t, back); !bytes.Equal(once, again) {
			t.Fatalf("there and back differs:\n%s\n%s", once, again)
		}
	})
}

// hour makes a report of an hour at a hop of 10 ms.
func hour() report.Report {
	p := madeParts()
	p.Track.Points = make([]shaft.Point, 360_000)
	for i := range p.Track.Points {
		p.Track.Points[i] = shaft.Point{
			At: engine.Seconds(float64(i) / 100), Speed: engine.RPM(12000 + float64(i%700)/3), SD: 31.7, Confidence: 0.987, Fires: 2,
		}
	}
	return report.New(p)
}

type counter struct{ n int64 }

func (c *counter) Write(p []byte) (int, error) { c.n += int64(len(p)); return len(p), nil }

func BenchmarkWriteJSONHour(b *testing.B) {
	r := hour()
	b.ReportAllocs()
	for b.Loop() {
		var c counter
		if err := report.WriteJSON(&c, r); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(c.n)
	}
}
