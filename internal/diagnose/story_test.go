package diagnose

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/book"
	"topnote/internal/report"
)

// story is the made history of docs/book.md: a saw is set in winter at three
// settings of H, runs into summer, its filter loads up, and is renewed.
func story() []step {
	const winter, summer = "temp=2 rh=70 altitude=120", "temp=29 rh=55 altitude=120"
	return []step{
		{day: 0, top: 12640, four: 0.84, air: winter, h: 1.25, filter: "new", fuel: "fresh, 1:50"},
		{day: 0, top: 12390, four: 0.97, air: winter, h: 1.375, idle: 2790},
		{day: 0, top: 12960, four: 0.66, air: winter, h: 1.125, idle: 2810},
		{day: 1, top: 12620, four: 0.85, air: "temp=3 rh=75 altitude=120", h: 1.25, idle: 2800},
		{day: 140, top: 12090, four: 0.99, air: summer, h: 1.25, idle: 2770},
		{day: 161, top: 12020, four: 0.99, air: "temp=27 rh=60 altitude=120", h: 1.25, idle: 2780},
		{day: 182, top: 11840, four: 0.99, air: "temp=28 rh=50 altitude=120", h: 1.25, idle: 2790},
		{day: 203, top: 11640, four: 1, air: "temp=26 rh=60 altitude=120", h: 1.25, idle: 2780, code: codeRichInCut},
		{day: 204, top: 12150, four: 0.98, air: "temp=26 rh=55 altitude=120", h: 1.25, idle: 2790, filter: "new"},
	}
}

// storyBook keeps the story in a book, as if it had been measured.
func storyBook(t *testing.T) *book.Book {
	t.Helper()
	b, err := book.Create(filepath.Join(t.TempDir(), "story.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	if err := b.AddMachine(book.Machine{
		Name: "bench saw", Engine: report.Engine{Strokes: 2, Cylinders: 1},
		Limits: report.Limits{MaxRPM: 13500, IdleRPM: 2800, ClutchRPM: 3700}, Notes: "made up for docs/book.md",
	}); err != nil {
		t.Fatal(err)
	}
	for _, p := range written(story()...) {
		p.Machine, p.Who = "bench saw", ""
		p.Recorded = time.Date(2026, 2, 7, 10, 0, 0, 0, time.UTC).Add(p.Recorded.Sub(madeDay(0)))
		p.Entered = p.Recorded.Add(time.Hour)
		p.Report.Track = nil
		top := p.Report.TopEnd
		says := "Safe side: it four-strokes %.0f %% of the time without load and holds %s ± 60 rpm."
		if p.Report.Verdict.Code == codeRichInCut {
			says = "Too rich: it four-strokes in the cut as well; without load %.0f %% of the time at %s ± 60 rpm."
		}
		p.Report.Verdict.Says = fmt.Sprintf(says, 100*top.FourStrokingShare, top.SustainedRPM)
		p.Report.Verdict.Cautions = []string{
			"The maker's handbook and the local rules come first.",
			"Hearing and eye protection; bar and chain fitted, brake and clear ground; outdoors; seconds, not minutes, at full throttle without load.",
		}
		if _, err := b.AddPass(p, false); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// storyFile is the story as it ships: an export that anybody can import.
const storyFile = "../../docs/example-book.json"

// TestStory: the example that ships is the one that is told here.
func TestStory(t *testing.T) {
	var text bytes.Buffer
	if err := storyBook(t).Export(&text); err != nil {
		t.Fatal(err)
	}
	got := text.String()
	if *update {
		if err := os.WriteFile(storyFile, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(storyFile)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s is not what story makes; -update writes it anew", storyFile)
	}
	into, err := book.Create(filepath.Join(t.TempDir(), "into.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer into.Close()
	export, err := book.ReadExport(bytes.NewReader(want))
	if err != nil {
		t.Fatal(err)
	}
	if done, err := into.Import(export, false); err != nil || done.Passes != len(story()) {
		t.Errorf("%+v, %v", done, err)
	}
}

// TestStoryIsUnderstood: what docs/book.md says of its example is what comes out.
func TestStoryIsUnderstood(t *testing.T) {
	passes, err := storyBook(t).Passes("bench saw")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		now, then int64
		cause     Group
		says      string
	}{
		{5, 4, GroupNone, "The air and the screws explain it"},
		{8, 5, GroupRich, "too little air"},
		{9, 0, GroupFreed, "a new or cleaned air filter"},
	} {
		e, err := Why(passes, c.now, c.then, Default())
		if err != nil {
			t.Fatal(err)
		}
		if e.Causes[0].Cause != c.cause || !strings.Contains(e.Answer, c.says) {
			t.Errorf("pass %d: %s (%.2f), %q", c.now, e.Causes[0].Cause, e.Causes[0].Probability, e.Answer)
		}
	}
	if r := learnResponse(observations(passes), Default()); !r.Learned || r.Settings != 3 {
		t.Errorf("learned %+v", r)
	}
}
