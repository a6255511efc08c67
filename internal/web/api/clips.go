package api

import (
	"io"
	"net/http"

	"topnote/internal/report"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
	"topnote/internal/web/pace"
)

func (a *API) clipRoutes() []Route {
	routes := []Route{
		{"POST", "/clips", a.postClip},
		{"GET", "/clips/{id}", a.getClip},
		{"DELETE", "/clips/{id}", a.deleteClip},
		{"POST", "/clips/{id}/again", a.postAgain},
		{"GET", "/clips/{id}/audio", a.getAudio},
	}
	for _, f := range forms {
		routes = append(routes, Route{"GET", "/clips/{id}/" + f.name, a.getForm(f)})
	}
	return routes
}

// jobBody is a job as JSON.
type jobBody struct {
	ID       string       `json:"id"`
	Name     string       `json:"name"`
	Machine  string       `json:"machine"`
	State    jobs.State   `json:"state"`
	Position int          `json:"position"` // in the queue, from 1; 0: not waiting
	Progress float64      `json:"progress"` // 0 to 1
	Problem  *fault.Parts `json:"problem"`  // null but for failed
	Verdict  string       `json:"verdict"`  // its code, once done
	Links    jobLinks     `json:"links"`
}

// jobLinks are the addresses of the rest of a job.
type jobLinks struct {
	Self   string `json:"self"`
	Report string `json:"report"`
	Audio  string `json:"audio"`
	Page   string `json:"page"`
}

func bodyOf(j jobs.Job) jobBody {
	b := jobBody{
		ID: j.ID, Name: j.Name, Machine: j.Machine, State: j.State, Position: j.Position, Progress: j.Progress,
		Verdict: j.Result.Report.Verdict.Code,
		Links:   jobLinks{j.Address(), j.Address() + "/report", j.Address() + "/audio", j.Page()},
	}
	if j.Problem != nil {
		parts := j.Problem.Parts()
		b.Problem = &parts
	}
	return b
}

// postClip takes a recording in. With ?wait=1 it answers with the report once
// that is there; a client that leaves before gives the job up.
func (a *API) postClip(w http.ResponseWriter, r *http.Request) error {
	j, err := a.Intake.Receive(w, r)
	if err != nil {
		return err
	}
	return a.accepted(w, r, j)
}

// accepted answers to a job that was just made.
func (a *API) accepted(w http.ResponseWriter, r *http.Request, j jobs.Job) error {
	if r.URL.Query().Get("wait") == "" {
		w.Header().Set("Location", j.Address())
		fault.WriteJSON(w, http.StatusAccepted, bodyOf(j))
		return nil
	}
	pace.NoLimit(w) // the queue is bounded, and so is the work
	ended, ok := a.Queue.Wait(r.Context(), j.ID)
	a.Pace.Answer(w)
	if !ok {
		a.Queue.Remove(j.ID)
		return fault.Gone()
	}
	w.Header().Set("Location", ended.Address())
	if ended.State != jobs.Done {
		return ended.Problem
	}
	return a.draw(w, r, fault.TypeJSON, func(w io.Writer) error { return report.WriteJSON(w, ended.Result.Report) })
}

// postAgain measures a recording that is here once more, with other entries.
func (a *API) postAgain(w http.ResponseWriter, r *http.Request) error {
	var in map[string]string
	if err := a.readJSON(w, r, &in); err != nil {
		return err
	}
	j, err := a.Intake.Again(r, r.PathValue("id"), in)
	if err != nil {
		return err
	}
	return a.accepted(w, r, j)
}

func (a *API) getClip(w http.ResponseWriter, r *http.Request) error {
	j, ok := a.Queue.Get(r.PathValue("id"))
	if !ok {
		return fault.NoJob()
	}
	fault.WriteJSON(w, http.StatusOK, bodyOf(j))
	return nil
}

// deleteClip drops a job: one that waits is never begun, one that is being
// measured is cancelled.
func (a *API) deleteClip(w http.ResponseWriter, r *http.Request) error {
	if !a.Queue.Remove(r.PathValue("id")) {
		return fault.NoJob()
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// getAudio gives the sound back for playing, in ranges if the client asks for them:
// the recording as it came, or with ?form=wav the sound that was measured.
func (a *API) getAudio(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("id")
	j, err := a.Queue.Result(id)
	if err != nil {
		return err
	}
	upload := a.Queue.Upload(id)
	if upload == nil {
		return fault.NoJob()
	}
	defer upload.Release()
	kind := jobs.AudioType(j.Result.Report.Clip.Container)
	var f jobs.File
	if r.URL.Query().Get("form") == "wav" {
		kind = jobs.AudioType("wav")
		err = a.Queue.InTurn(r.Context(), func() error {
			f, err = upload.Sound(j.Result.WriteSound)
			return err
		})
	} else {
		f, err = upload.Open()
	}
	if err != nil {
		return err
	}
	defer f.Close() // only read from
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Security-Policy", documentPolicy)
	a.Pace.Play(w)
	http.ServeContent(w, r, "", j.Ended, f)
	return nil
}
