package web

import (
	"cmp"
	"context"
	"errors"
	"io"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
)

func (s *Server) clipRoutes() []route {
	routes := []route{
		{"POST", "/clips", s.postClip},
		{"GET", "/clips/{id}", s.getClip},
		{"DELETE", "/clips/{id}", s.deleteClip},
		{"POST", "/clips/{id}/again", s.postAgain},
		{"GET", "/clips/{id}/audio", s.getAudio},
	}
	for _, f := range clipForms {
		routes = append(routes, route{"GET", "/clips/{id}/" + f.name, s.getForm(f)})
	}
	return routes
}

// jobBody is a job as JSON.
type jobBody struct {
	ID       string      `json:"id"`
	Name     string      `json:"name"`
	Machine  string      `json:"machine"`
	State    State       `json:"state"`
	Position int         `json:"position"` // in the queue, from 1; 0: not waiting
	Progress float64     `json:"progress"` // 0 to 1
	Problem  *errorParts `json:"problem"`  // null but for failed
	Verdict  string      `json:"verdict"`  // its code, once done
	Links    jobLinks    `json:"links"`
}

// jobLinks are where the rest of a job is found.
type jobLinks struct {
	Self   string `json:"self"`
	Report string `json:"report"`
	Audio  string `json:"audio"`
	Page   string `json:"page"`
}

func bodyOf(j Job) jobBody {
	self := apiRoot + "/clips/" + j.ID
	b := jobBody{
		ID: j.ID, Name: j.Name, Machine: j.Machine, State: j.State, Position: j.Position, Progress: j.Progress,
		Verdict: j.Result.Report.Verdict.Code,
		Links:   jobLinks{self, self + "/report", self + "/audio", "/clips/" + j.ID},
	}
	if j.Problem != nil {
		parts := j.Problem.parts()
		b.Problem = &parts
	}
	return b
}

// postClip takes a recording in. With ?wait=1 it answers with the report once
// it is measured; who leaves before that has no more interest in it.
func (s *Server) postClip(w http.ResponseWriter, r *http.Request) error {
	j, err := s.receive(w, r)
	if err != nil {
		return err
	}
	return s.accepted(w, r, j)
}

// accepted answers to a job that was just made.
func (s *Server) accepted(w http.ResponseWriter, r *http.Request, j Job) error {
	if r.URL.Query().Get("wait") == "" {
		w.Header().Set("Location", apiRoot+"/clips/"+j.ID)
		writeJSON(w, http.StatusAccepted, bodyOf(j))
		return nil
	}
	_ = http.NewResponseController(w).SetWriteDeadline(time.Time{}) // the queue is bounded, and so is the work
	id := j.ID
	j, ok := s.desk.wait(r.Context(), id)
	s.paceAnswer(w)
	if !ok {
		s.desk.remove(id)
		return faultGone()
	}
	w.Header().Set("Location", apiRoot+"/clips/"+j.ID)
	if j.State != Done {
		return j.Problem
	}
	return s.drawing(w, r, typeJSON, func(w io.Writer) error { return report.WriteJSON(w, j.Result.Report) })
}

// paceAnswer gives an answer its time.
func (s *Server) paceAnswer(w http.ResponseWriter) {
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(s.o.AnswerTime))
}

// postAgain measures a recording that is here once more, with other entries.
func (s *Server) postAgain(w http.ResponseWriter, r *http.Request) error {
	var in map[string]string
	if err := s.readJSON(w, r, &in); err != nil {
		return err
	}
	j, err := s.again(r, r.PathValue("id"), in)
	if err != nil {
		return err
	}
	return s.accepted(w, r, j)
}

// again makes a job of the recording of another one.
func (s *Server) again(r *http.Request, id string, fields map[string]string) (Job, error) {
	before, ok := s.desk.get(id)
	bytes := s.desk.hold(id)
	if !ok || bytes == nil {
		return Job{}, faultNoJob()
	}
	fields[fieldName] = cmp.Or(fields[fieldName], before.Name)
	o, err := s.orderOf(form{fields: fields, bytes: bytes})
	client := s.clientOf(r)
	if err == nil {
		err = s.desk.acquire(client)
	}
	if err != nil {
		bytes.release()
		return Job{}, err
	}
	return s.desk.submit(o, client), nil
}

func (s *Server) getClip(w http.ResponseWriter, r *http.Request) error {
	j, ok := s.desk.get(r.PathValue("id"))
	if !ok {
		return faultNoJob()
	}
	writeJSON(w, http.StatusOK, bodyOf(j))
	return nil
}

// deleteClip drops a job: one that waits is never begun, one that is measured
// ends at the next step.
func (s *Server) deleteClip(w http.ResponseWriter, r *http.Request) error {
	if !s.desk.remove(r.PathValue("id")) {
		return faultNoJob()
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// result gives a job that is done; a *fault for any other.
func (s *Server) result(id string) (Job, error) {
	j, ok := s.desk.get(id)
	if !ok {
		return Job{}, faultNoJob()
	}
	if j.State != Done {
		return Job{}, faultNotDone(j.State, j.Problem)
	}
	return j, nil
}

// clipForm is one form of a result.
type clipForm struct {
	name, kind string
	write      func(io.Writer, measure.Measurement) error
}

var clipForms = []clipForm{
	{"report", typeJSON, writeReport(report.WriteJSON)},
	{"report.json", typeJSON, writeReport(report.WriteJSON)},
	{"report.csv", typeCSV, writeReport(report.WriteCSV)},
	{"report.vtt", typeVTT, writeReport(report.WriteVTT)},
	{"report.txt", typeText, func(w io.Writer, m measure.Measurement) error {
		return report.WriteText(w, m.Report, report.TextStyle{Columns: report.DefaultColumns})
	}},
	{"reply.txt", typeText, func(w io.Writer, m measure.Measurement) error {
		_, err := io.WriteString(w, m.Reply)
		return err
	}},
	{"report.html", typeHTML, func(w io.Writer, m measure.Measurement) error { return m.WriteHTML(w) }},
	{"report.svg", typeSVG, func(w io.Writer, m measure.Measurement) error { return m.Draw(w, picture.SVG, picture.DefaultSize) }},
	{"report.png", typePNG, func(w io.Writer, m measure.Measurement) error { return m.Draw(w, picture.PNG, picture.DefaultSize) }},
}

func writeReport(write func(io.Writer, report.Report) error) func(io.Writer, measure.Measurement) error {
	return func(w io.Writer, m measure.Measurement) error { return write(w, m.Report) }
}

// getForm answers with one form of a result; ?download=1 has the browser save it
// under the name of the recording.
func (s *Server) getForm(f clipForm) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		j, err := s.result(r.PathValue("id"))
		if err != nil {
			return err
		}
		if r.URL.Query().Get("download") != "" {
			ending := cmp.Or(filepath.Ext(f.name), ".json")
			offerAs(w, strings.TrimSuffix(j.Name, filepath.Ext(j.Name))+ending)
		}
		return s.drawing(w, r, f.kind, func(w io.Writer) error { return f.write(w, j.Result) })
	}
}

// offerAs has a browser save an answer under a name, RFC 6266.
func offerAs(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
}

// audioTypes are the kinds of recordings that a browser may be able to play, by
// the container that was found, whatever the sender called it.
var audioTypes = map[string]string{
	"wav": "audio/wav", "flac": "audio/flac", "ogg": "audio/ogg", "mp3": "audio/mpeg", "m4a": "audio/mp4",
	"mp4": "audio/mp4", "3gp": "audio/3gpp", "webm": "audio/webm", "aiff": "audio/aiff", "amr": "audio/amr",
}

// getAudio gives the sound back for playing, in ranges where they are asked for:
// the recording as it came, or with ?form=wav the sound that was measured.
func (s *Server) getAudio(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("id")
	j, err := s.result(id)
	if err != nil {
		return err
	}
	kept := s.desk.hold(id)
	if kept == nil {
		return faultNoJob()
	}
	defer kept.release()
	path, kind := kept.path, cmp.Or(audioTypes[j.Result.Report.Clip.Container], "application/octet-stream")
	if r.URL.Query().Get("form") == "wav" {
		kind = audioTypes["wav"]
		if path, err = s.soundOf(r.Context(), kept, j.Result); err != nil {
			return err
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close() // only read from
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Security-Policy", documentPolicy)
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(s.o.PlayTime))
	http.ServeContent(w, r, "", j.Ended, f)
	return nil
}

// soundOf gives the file with the sound that was measured, made when it is first
// asked for.
func (s *Server) soundOf(ctx context.Context, kept *stored, m measure.Measurement) (string, error) {
	path := kept.soundPath()
	return path, s.inTurn(ctx, func() error {
		if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
			return m.WriteSound(path) // whole or not at all; two at once write the same
		}
		return nil
	})
}
