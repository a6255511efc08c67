package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// TestBookByAPI does the whole of the book: machines, passes with the air and the
// screws of two days, the trend in each form, and why they differ.
func TestBookByAPI(t *testing.T) {
	x := serve(t, nil)
	if a := x.get("/api/v1/machines").want(t, http.StatusOK); strings.TrimSpace(string(a.body)) != `{"machines":[]}` {
		t.Errorf("without a book: %s", a.body)
	}
	if code := x.get("/api/v1/machines/saw").want(t, http.StatusNotFound).fault(t); code != fault.CodeNoBook {
		t.Errorf("a machine without a book: %q", code)
	}
	saw := `{"name":"saw 3","limits":{"max_rpm":13500,"idle_rpm":2800,"clutch_rpm":null},"notes":"red"}`
	x.send("POST", "/api/v1/machines", saw).want(t, http.StatusCreated)
	if code := x.send("POST", "/api/v1/machines", saw).want(t, http.StatusConflict).fault(t); code != fault.CodeKnown {
		t.Errorf("the same machine again: %q", code)
	}
	x.storeTwoPasses()
	x.readTwoPasses()
	x.keepSound()
}

// keepSound keeps the recording of a pass, reads it back whole and in part, takes it
// along in an export, and deletes it.
func (x *serving) keepSound() {
	t, path, recording := x.t, "/api/v1/machines/saw%203/passes/1/sound", excerpt(x.t, "rich")
	x.get(path).want(t, http.StatusNotFound).fault(t)
	if code := x.send("PUT", path, "another recording").want(t, http.StatusConflict).fault(t); code != fault.CodeEntry {
		t.Errorf("another recording: %q", code)
	}
	x.send("PUT", strings.Replace(path, "/1/", "/7/", 1), string(recording)).want(t, http.StatusNotFound).fault(t)
	if code := x.send("PUT", path, strings.Repeat("x", book.MaxSound+1)).want(t, http.StatusRequestEntityTooLarge).fault(t); code != fault.CodeTooBig {
		t.Errorf("too large a recording: %q", code)
	}
	for range 2 {
		x.send("PUT", path, string(recording)).want(t, http.StatusNoContent)
	}
	if a := x.get(path).want(t, http.StatusOK); !bytes.Equal(a.body, recording) || a.Header.Get("Content-Type") != "audio/wav" {
		t.Errorf("%d bytes of %s come back, of %d", len(a.body), a.Header.Get("Content-Type"), len(recording))
	}
	if a := x.get("/book").want(t, http.StatusOK); !strings.Contains(string(a.body), "Both have the recordings that the book keeps: 1.") {
		t.Error("the page of the book does not say what goes along")
	}
	var taken struct{ Sounds []struct{ Recording []byte } }
	x.get("/take/book.json").want(t, http.StatusOK).into(t, &taken)
	if len(taken.Sounds) != 1 || !bytes.Equal(taken.Sounds[0].Recording, recording) {
		t.Errorf("the export carries %d recordings", len(taken.Sounds))
	}
	x.send("DELETE", path, "").want(t, http.StatusNoContent)
	x.send("DELETE", path, "").want(t, http.StatusNotFound).fault(t)
	x.get(path).want(t, http.StatusNotFound).fault(t)
}

// storeTwoPasses measures two passes of the machine and stores each, with what
// cannot be stored between.
func (x *serving) storeTwoPasses() {
	x.t.Helper()
	for _, c := range []struct{ name, air, screws string }{
		{"rich", "temp=8 rh=80 altitude=120", `{"h_turns":"1 1/4","l_turns":1}`},
		{"over", "temp=88F rh=60 altitude=2800ft", `{"h_turns":1.125}`},
	} {
		var j jobBody
		x.post("/api/v1/clips", excerpt(x.t, c.name), "machine", "SAW 3").want(x.t, http.StatusAccepted).into(x.t, &j)
		if done := x.waitFor(j.ID, jobs.Done); done.Machine != "saw 3" {
			x.t.Errorf("the machine is %q", done.Machine)
		}
		pass := fmt.Sprintf(`{"clip":%q,"air":%q,"screws":%s,"who":"a tester","filter_note":"new"}`, j.ID, c.air, c.screws)
		path := "/api/v1/machines/saw%203/passes"
		x.send("POST", path, pass).want(x.t, http.StatusCreated)
		if code := x.send("POST", path, pass).want(x.t, http.StatusConflict).fault(x.t); code != fault.CodeKnown {
			x.t.Errorf("the same pass again: %q", code)
		}
		if code := x.send("POST", "/api/v1/machines/other/passes", pass).want(x.t, http.StatusNotFound).fault(x.t); code != fault.CodeUnknown {
			x.t.Errorf("a pass of no machine: %q", code)
		}
		x.send("POST", path, strings.Replace(pass, c.air, "temp=hot", 1)).want(x.t, http.StatusBadRequest).fault(x.t)
		x.send("POST", path, strings.Replace(pass, c.screws, `{"h_turns":"a bit"}`, 1)).want(x.t, http.StatusBadRequest).fault(x.t)
	}
}

// readTwoPasses reads the two passes, their trend and the reason why they differ.
func (x *serving) readTwoPasses() {
	x.t.Helper()
	var passes struct{ Passes []struct{ Number int64 } }
	x.get("/api/v1/machines/saw%203/passes").want(x.t, http.StatusOK).into(x.t, &passes)
	if len(passes.Passes) != 2 {
		x.t.Fatalf("%d passes", len(passes.Passes))
	}
	x.get("/api/v1/machines/saw%203/passes/1").want(x.t, http.StatusOK)
	for _, number := range []string{"3", "0", "-1", "x", "99999999999999999999"} {
		x.get("/api/v1/machines/saw%203/passes/"+number).want(x.t, http.StatusNotFound).fault(x.t)
	}
	for form, begins := range map[string]string{"": "{", ".csv": "pass,", ".svg": "<?xml", ".png": "\x89PNG"} {
		if a := x.get("/api/v1/machines/saw%203/trend"+form).want(x.t, http.StatusOK); !strings.HasPrefix(string(a.body), begins) {
			x.t.Errorf("trend%s begins with %.20q", form, a.body)
		}
	}
	var e diagnose.Explanation
	x.get("/api/v1/machines/saw%203/why").want(x.t, http.StatusOK).into(x.t, &e)
	if e.Then.Number != 1 || e.Now.Number != 2 || e.Answer == "" {
		x.t.Errorf("why: %d and %d, %q", e.Then.Number, e.Now.Number, e.Answer)
	}
	x.get("/api/v1/machines/saw%203/why?from=1&to=2").want(x.t, http.StatusOK)
	for query, status := range map[string]int{"?to=0": 400, "?to=x": 400, "?from=7": 400, "?to=1": 400, "?to=2&from=2": 400} {
		x.get("/api/v1/machines/saw%203/why"+query).want(x.t, status).fault(x.t)
	}
}

// TestMachineNames enters machines whose names mean something in addresses, and
// wants each back under its name.
func TestMachineNames(t *testing.T) {
	x := serve(t, nil)
	names := []string{
		"a/b", "..", ".", "../../etc/passwd", "%2F", "a%20b", "a?b#c", "ä ü ß 鋸", "<b>", `"quoted"`, "a\\b", "a+b", "&;=", "passes", "a//b", "/a", "a/",
	}
	for _, name := range names {
		body, _ := json.Marshal(book.Machine{Name: name}) // of strings
		x.send("POST", "/api/v1/machines", string(body)).want(t, http.StatusCreated)
	}
	for _, name := range names {
		var m machineBody
		path := "/api/v1/machines/" + url.PathEscape(name)
		if name == "." || name == ".." { // no client leaves these in an address unless they are written in full
			path = "/api/v1/machines/" + strings.ReplaceAll(name, ".", "%2E")
		}
		a := x.get(path)
		if a.StatusCode != http.StatusOK {
			t.Errorf("%q at %s: %s", name, path, a.Status)
			continue
		}
		a.into(t, &m)
		if m.Name != name || m.Engine.Strokes != 2 {
			t.Errorf("%q comes back as %q", name, m.Name)
		}
	}
	var all machinesBody
	x.get("/api/v1/machines").want(t, http.StatusOK).into(t, &all)
	if len(all.Machines) != len(names) {
		t.Errorf("%d machines of %d", len(all.Machines), len(names))
	}
}

// TestMachineEdits changes a machine and wants the edit kept.
func TestMachineEdits(t *testing.T) {
	x := serve(t, nil)
	x.send("POST", "/api/v1/machines", `{"name":"saw","engine":{"strokes":4,"cylinders":2}}`).want(t, http.StatusCreated)
	x.send("PUT", "/api/v1/machines/saw", `{"name":"saw","limits":{"max_rpm":12000},"who":"me"}`).want(t, http.StatusOK)
	x.send("PUT", "/api/v1/machines/saw", `{"name":"saw","limits":{"max_rpm":12}}`).want(t, http.StatusBadRequest).fault(t)
	x.send("PUT", "/api/v1/machines/other", `{"name":"saw"}`).want(t, http.StatusNotFound).fault(t)
	var m machineBody
	x.get("/api/v1/machines/saw").want(t, http.StatusOK).into(t, &m)
	if m.Limits.MaxRPM != 12000 || m.Engine.Strokes != 4 || len(m.Edits) != 1 || m.Edits[0].Who != "me" {
		t.Errorf("after one edit: %+v", m)
	}
}

// TestJSONThatIsNotWanted sends JSON that is damaged, too much, or something else.
func TestJSONThatIsNotWanted(t *testing.T) {
	x := serve(t, nil)
	for _, path := range []string{"/api/v1/machines", "/api/v1/air", "/api/v1/machines/x/passes"} {
		for _, text := range []string{"", "{", "null x", "[]", `"text"`, `{"nme":"x"}`, `{} {}`, `{"name":{}}{`, strings.Repeat("[", 10000), `{"name":1e999,"temp":true,"clip":[]}`} {
			if code := x.send("POST", path, text).want(t, http.StatusBadRequest).fault(t); code != fault.CodeForm {
				t.Errorf("%s of %.20q: %q", path, text, code)
			}
		}
		large := `{"name":"` + strings.Repeat("x", 128<<10) + `"}`
		if code := x.send("POST", path, large).want(t, http.StatusRequestEntityTooLarge).fault(t); code != fault.CodeTooBig {
			t.Errorf("%s of too much: %q", path, code)
		}
	}
	if a := x.send("POST", "/api/v1/machines", `{"nme":"saw"}`); !strings.Contains(string(a.body), `no member \"nme\"`) {
		t.Errorf("a slip is not named: %s", a.body)
	}
}

// TestAir asks what `topnote air` of README.md asks.
func TestAir(t *testing.T) {
	x := serve(t, nil)
	var got airAnswer
	x.send("POST", "/api/v1/air", `{"temp":31,"rh":"60","altitude":"850 m","since":"temp=8 rh=80 altitude=120","filter_drop":"assumed"}`).want(t, http.StatusOK).into(t, &got)
	if got.MixtureShift == nil || *got.MixtureShift > -9 || *got.MixtureShift < -10 || got.Filter == nil || len(got.Advice) == 0 || len(got.Cautions) == 0 {
		t.Errorf("docs/air.md has 9.6 %% richer: %+v", got)
	}
	var us airAnswer
	x.send("POST", "/api/v1/air", `{"temp":"87.8F","rh":60,"altitude":850,"since":"temp=8 rh=80 altitude=120","units":"us"}`).want(t, http.StatusOK).into(t, &us)
	if us.MixtureShift == nil || *us.MixtureShift != *got.MixtureShift || slices.Equal(us.Notes, got.Notes) {
		t.Errorf("the same in US units: %+v", us)
	}
	for _, text := range []string{`{}`, `{"temp":20}`, `{"temp":"hot","altitude":0}`, `{"temp":20,"altitude":0,"venturi_drop":40}`,
		`{"temp":20,"altitude":0,"since":"yesterday"}`, `{"temp":20,"altitude":0,"units":"stones"}`, `{"temp":20,"altitude":0,"filter_drop":"much"}`} {
		if code := x.send("POST", "/api/v1/air", text).want(t, http.StatusBadRequest).fault(t); code != fault.CodeEntry {
			t.Errorf("%s: %q", text, code)
		}
	}
}
