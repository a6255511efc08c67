package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/png"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// TestAPIWholeJob sends two passes in, fetches every form of the results, plays them
// and compares them: the report must be the one that the command line gives.
func TestAPIWholeJob(t *testing.T) {
	x := serve(t, nil)
	over, rich := excerpt(t, "over"), excerpt(t, "rich")
	a := x.post("/api/v1/clips?wait=1", over, "limit", "13,500", "idle", "2800", "name", "saw 3.wav").want(t, http.StatusOK)
	got, err := report.ReadJSON(bytes.NewReader(a.body))
	if err != nil {
		t.Fatal(err)
	}
	q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500, Idle: 2800}}
	want, err := measure.Stream(bytes.NewReader(over), "saw 3.wav", q)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.Report, got); diff != "" {
		t.Errorf("the report differs from that of the command line:\n%s", diff)
	}
	first := strings.TrimPrefix(a.Header.Get("Location"), jobs.Root+"/clips/")

	var second jobBody
	x.post("/api/v1/clips", rich, "limit", "13500", "idle", "2800").want(t, http.StatusAccepted).into(t, &second)
	x.waitFor(second.ID, jobs.Done)
	x.wantForms(first, want)
	x.wantAudio(first, over)
	x.wantComparison(first, second.ID)

	x.do(x.request("DELETE", "/api/v1/clips/"+first, nil)).want(t, http.StatusNoContent)
	for _, path := range []string{"", "/report", "/audio", "/report.png"} {
		if code := x.get("/api/v1/clips/"+first+path).want(t, http.StatusNotFound).fault(t); code != fault.CodeUnknown {
			t.Errorf("a clip that was dropped answers %q", code)
		}
	}
}

// waitFor waits until a clip is in a state, looking as a page does.
func (x *serving) waitFor(id string, s jobs.State) jobBody {
	x.t.Helper()
	var j jobBody
	eventually(x.t, fmt.Sprintf("clip %s %s", id, s), func() bool {
		x.get("/api/v1/clips/"+id).want(x.t, http.StatusOK).into(x.t, &j)
		return j.State == s
	})
	return j
}

// formsOfResult are the forms of a result, each as the packages below write it.
var formsOfResult = []struct {
	name, kind string
	write      func(io.Writer, measure.Measurement) error
}{
	{"report", "application/json", func(w io.Writer, m measure.Measurement) error { return report.WriteJSON(w, m.Report) }},
	{"report.json", "application/json", func(w io.Writer, m measure.Measurement) error { return report.WriteJSON(w, m.Report) }},
	{"report.csv", "text/csv; charset=utf-8", func(w io.Writer, m measure.Measurement) error { return report.WriteCSV(w, m.Report) }},
	{"report.vtt", "text/vtt; charset=utf-8", func(w io.Writer, m measure.Measurement) error { return report.WriteVTT(w, m.Report) }},
	{"report.txt", "text/plain; charset=utf-8", func(w io.Writer, m measure.Measurement) error {
		return report.WriteText(w, m.Report, report.TextStyle{Columns: report.DefaultColumns})
	}},
	{"reply.txt", "text/plain; charset=utf-8", func(w io.Writer, m measure.Measurement) error {
		_, err := io.WriteString(w, m.Reply)
		return err
	}},
	{"report.html", "text/html; charset=utf-8", func(w io.Writer, m measure.Measurement) error { return m.WriteHTML(w) }},
	{"report.svg", "image/svg+xml", func(w io.Writer, m measure.Measurement) error { return m.Draw(w, picture.SVG, picture.DefaultSize) }},
	{"report.png", "image/png", func(w io.Writer, m measure.Measurement) error { return m.Draw(w, picture.PNG, picture.DefaultSize) }},
}

// wantForms holds the forms of a result to those that the packages below write.
func (x *serving) wantForms(id string, m measure.Measurement) {
	x.t.Helper()
	for _, f := range formsOfResult {
		a := x.get("/api/v1/clips/"+id+"/"+f.name+"?download=1").want(x.t, http.StatusOK)
		var want bytes.Buffer
		if err := f.write(&want, m); err != nil {
			x.t.Fatal(err)
		}
		if !bytes.Equal(a.body, want.Bytes()) || a.Header.Get("Content-Type") != f.kind {
			x.t.Errorf("%s, %s, differs from what the command line writes", f.name, a.Header.Get("Content-Type"))
		}
		if d := a.Header.Get("Content-Disposition"); !strings.HasPrefix(d, `attachment; filename="saw 3.`) {
			x.t.Errorf("%s is offered as %q", f.name, d)
		}
		if f.kind == "image/png" {
			if _, err := png.DecodeConfig(bytes.NewReader(a.body)); err != nil {
				x.t.Errorf("%s: %v", f.name, err)
			}
		}
	}
	if a := x.get("/api/v1/clips/" + id + "/reply.txt"); string(a.body) != m.Reply || a.Header.Get("Content-Disposition") != "" {
		x.t.Errorf("the reply is %q", a.body)
	}
}

// wantAudio plays a clip: whole, in part, beyond its end, and as it was measured.
func (x *serving) wantAudio(id string, sent []byte) {
	x.t.Helper()
	path := "/api/v1/clips/" + id + "/audio"
	if a := x.get(path).want(x.t, http.StatusOK); !bytes.Equal(a.body, sent) || a.Header.Get("Content-Type") != "audio/wav" {
		x.t.Errorf("the recording comes back as %d bytes of %s; %d were sent", len(a.body), a.Header.Get("Content-Type"), len(sent))
	}
	r := x.request("GET", path, nil)
	r.Header.Set("Range", "bytes=100-199")
	if a := x.do(r).want(x.t, http.StatusPartialContent); !bytes.Equal(a.body, sent[100:200]) {
		x.t.Errorf("a range of 100 bytes comes back as %d", len(a.body))
	}
	r = x.request("GET", path, nil)
	r.Header.Set("Range", "bytes=99999999-")
	x.do(r).want(x.t, http.StatusRequestedRangeNotSatisfiable)
	a := x.get(path+"?form=wav").want(x.t, http.StatusOK)
	sound, err := clip.Read(bytes.NewReader(a.body), "x")
	if err != nil || sound.Info.SampleRate != clip.WorkingRate || sound.Info.Channels != 1 {
		x.t.Errorf("the sound that was measured comes back as %+v (%v)", sound, err)
	}
}

func (x *serving) wantComparison(first, second string) {
	x.t.Helper()
	var c report.Comparison
	x.get("/api/v1/compare?clips="+first+","+second).want(x.t, http.StatusOK).into(x.t, &c)
	if len(c.Passes) != 2 || len(c.Pairs) != 1 || c.Passes[0].OpensAtS == nil || c.Pairs[0].Says == "" {
		x.t.Errorf("the comparison has %d passes and %d pairs", len(c.Passes), len(c.Pairs))
	}
	for form, begins := range map[string]string{".txt": "", ".html": "<!", ".svg": "<?xml", ".png": "\x89PNG"} {
		if a := x.get("/api/v1/compare"+form+"?clips="+first+","+second).want(x.t, http.StatusOK); !bytes.HasPrefix(bytes.ToLower(a.body), []byte(strings.ToLower(begins))) {
			x.t.Errorf("compare%s begins with %.20q", form, a.body)
		}
	}
	for query, status := range map[string]int{
		"": 404, "?clips=" + first: 400, "?clips=" + first + ",nobody": 404,
		"?clips=" + strings.Repeat(first+",", 6) + first: 400, "?clips=" + strings.Repeat(",", 10000): 404,
	} {
		x.get("/api/v1/compare"+query).want(x.t, status).fault(x.t)
	}
	var again jobBody
	x.send("POST", "/api/v1/clips/"+second+"/again", `{"limit":"12000"}`).want(x.t, http.StatusAccepted).into(x.t, &again)
	if done := x.waitFor(again.ID, jobs.Done); done.Name != "pass.wav" {
		x.t.Errorf("the same recording is called %q the second time", done.Name)
	}
	if code := x.get("/api/v1/compare?clips="+first+","+again.ID).want(x.t, http.StatusConflict).fault(x.t); code != fault.CodeOther {
		x.t.Errorf("clips measured with other entries: %q", code)
	}
	var plain jobBody
	x.send("POST", "/api/v1/clips/"+second+"/again", "null").want(x.t, http.StatusAccepted).into(x.t, &plain) // without entries
	x.do(x.request("DELETE", plain.Links.Self, nil)).want(x.t, http.StatusNoContent)
	x.do(x.request("DELETE", "/api/v1/clips/"+second, nil)).want(x.t, http.StatusNoContent)
	x.get("/api/v1/clips/"+again.ID+"/audio").want(x.t, http.StatusOK) // the bytes were shared
}

// TestEntries wants a sentence, and the right status, for each thing that can be
// wrong with what is sent beside a recording, and nothing kept of it.
func TestEntries(t *testing.T) {
	x := serve(t, nil)
	for _, c := range []struct {
		fields []string
		status int
		code   string
	}{
		{[]string{"limit", "fast"}, 400, fault.CodeEntry},
		{[]string{"limit", "13.500"}, 400, fault.CodeEntry},
		{[]string{"limit", "99999"}, 400, fault.CodeEntry},
		{[]string{"limit", "12000", "idle", "13000"}, 400, fault.CodeEntry},
		{[]string{"strokes", "three"}, 400, fault.CodeEntry},
		{[]string{"strokes", "3"}, 400, fault.CodeEntry},
		{[]string{"cylinders", "99999999999999999999"}, 400, fault.CodeEntry},
		{[]string{"machine", "nobody's"}, 404, fault.CodeNoBook},
		{[]string{"colour", "orange"}, 400, fault.CodeForm},
		{[]string{"limit", "13500", "limit", "12000"}, 400, fault.CodeForm},
		{[]string{"name", strings.Repeat("x", 1001)}, 400, fault.CodeForm},
		{[]string{"clip", "two of them"}, 400, fault.CodeForm},
	} {
		if code := x.post("/api/v1/clips", []byte("RIFF"), c.fields...).want(t, c.status).fault(t); code != c.code {
			t.Errorf("%.60v: %q, want %q", c.fields, code, c.code)
		}
	}
	noClip := "--x\r\nContent-Disposition: form-data; name=\"limit\"\r\n\r\n13500\r\n--x--\r\n"
	if code := x.do(x.rawForm(strings.NewReader(noClip))).want(t, 400).fault(t); code != fault.CodeNoClip {
		t.Errorf("no clip: %q", code)
	}
	for _, kind := range []string{"", "audio/wav", "multipart/form-data", "multipart/form-data; boundary=", "application/x-www-form-urlencoded"} {
		r := x.request("POST", "/api/v1/clips", strings.NewReader("limit=1"))
		r.Header.Set("Content-Type", kind)
		x.do(r).want(t, http.StatusUnsupportedMediaType).fault(t)
	}
	wantEmptyStore(t, x.Server)
	x.healthy()
}

// storedFiles gives the files of the folder of recordings, the lock first.
func storedFiles(t *testing.T, s *Server) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(s.config.Temp, "topnote-serve-*", "*"))
	if err != nil || !slices.ContainsFunc(files, func(f string) bool { return filepath.Base(f) == "lock" }) {
		t.Fatalf("the folder of recordings has %v (%v)", files, err)
	}
	slices.SortFunc(files, func(a, b string) int { return len(a) - len(b) })
	return files
}

// wantEmptyStore wants nothing in the store but its lock.
func wantEmptyStore(t *testing.T, s *Server) {
	t.Helper()
	if files := storedFiles(t, s); len(files) != 1 || s.store.Used() != 0 {
		t.Errorf("the store holds %v and counts %d bytes", files, s.store.Used())
	}
}

// TestNamesStayOutside sends names that lead elsewhere: all of them are shown in
// part at most, and no file is called by one.
func TestNamesStayOutside(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.Jobs.Kept = 1000 })
	x.replaceWork(func(context.Context) error { return errors.New("web: not measured here") })
	x.log.SetOutput(new(notes))
	for name, want := range map[string]string{
		"../../../../etc/passwd": "passwd", `..\..\windows\win.ini`: "win.ini", "/etc/shadow": "shadow",
		"C:\\x.wav": "x.wav", "..": "..", ".": ".", "a\x00b.wav": "a?b.wav", "pass\r\nX: y.wav": "", "": jobs.Unnamed, "lock": "lock",
		"<script>alert(1)</script>.wav": "script>.wav", strings.Repeat("ä", 5000): strings.Repeat("ä", jobs.MaxName), "\xff.wav": "?.wav",
		"-rf": "-rf", "CON": "CON", "\u202egnp.wav": "?gnp.wav",
	} {
		r := x.request("POST", "/api/v1/clips", nil)
		withForm(t, r, name, []byte("x"))
		a := x.do(r)
		if a.StatusCode == http.StatusBadRequest { // a header that no library sends
			continue
		}
		var j jobBody
		a.want(t, http.StatusAccepted).into(t, &j)
		if want != "" && j.Name != want {
			t.Errorf("%.40q is shown as %q, want %q", name, j.Name, want)
		}
	}
	err := filepath.WalkDir(x.temp, func(path string, d os.DirEntry, err error) error {
		if name := d.Name(); err == nil && !d.IsDir() && name != "lock" && len(name) != 26 {
			t.Errorf("a file is called %q", path)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// TestQueue fills all seats with work that does not end, and wants positions, a
// clear busy answer, cancelling from both ends of the queue, and a server that
// goes on as before.
func TestQueue(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.Jobs.Workers, c.Options.Jobs.Waiting = 2, 3 })
	x.replaceWork(func(ctx context.Context) error {
		<-ctx.Done()
		return ctx.Err()
	})
	var ids []string
	for i := range 5 {
		var j jobBody
		x.post("/api/v1/clips", []byte("x")).want(t, http.StatusAccepted).into(t, &j)
		if i < 2 {
			x.waitFor(j.ID, jobs.Running)
		} else if j.State != jobs.Queued || j.Position != i-1 {
			t.Errorf("clip %d is %s at %d", i, j.State, j.Position)
		}
		ids = append(ids, j.ID)
	}
	a := x.post("/api/v1/clips", bytes.Repeat([]byte("x"), 1_000_000)).want(t, http.StatusServiceUnavailable)
	if code := a.fault(t); code != fault.CodeBusy || a.Header.Get("Retry-After") != "5" {
		t.Errorf("busy is %q, to be tried again after %q s", code, a.Header.Get("Retry-After"))
	}
	a = x.get("/api/v1/clips/"+ids[4]+"/report").want(t, http.StatusConflict)
	if code := a.fault(t); code != fault.CodeNotDone {
		t.Errorf("a report of a clip that waits: %q", code)
	}
	x.do(x.request("DELETE", "/api/v1/clips/"+ids[2], nil)).want(t, http.StatusNoContent) // the first that waits
	if j := x.waitFor(ids[3], jobs.Queued); j.Position != 1 {
		t.Errorf("the next is at %d", j.Position)
	}
	x.do(x.request("DELETE", "/api/v1/clips/"+ids[0], nil)).want(t, http.StatusNoContent) // one that is measured
	x.waitFor(ids[3], jobs.Running)
	x.post("/api/v1/clips", []byte("x")).want(t, http.StatusAccepted)
	for _, id := range ids {
		x.queue.Remove(id)
	}
}

// TestGoneClientsGiveUp leaves before the report is there: the work ends, and
// nothing of it is kept.
func TestGoneClientsGiveUp(t *testing.T) {
	x := serve(t, nil)
	began, ended := make(chan bool, 1), make(chan bool, 1)
	x.replaceWork(func(ctx context.Context) error {
		began <- true
		<-ctx.Done()
		ended <- true
		return ctx.Err()
	})
	ctx, leave := context.WithCancel(context.Background())
	r := x.request("POST", "/api/v1/clips?wait=1", nil).WithContext(ctx)
	withForm(t, r, "x", []byte("x"))
	go func() { <-began; leave() }()
	if a, err := x.client.Do(r); err == nil {
		t.Errorf("it answered %s", a.Status)
	}
	<-ended
	x.replaceWork(nil)
	eventually(t, "nothing kept", func() bool { return x.store.Used() == 0 })
	wantEmptyStore(t, x.Server)
	x.healthy()
}
