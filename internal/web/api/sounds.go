package api

import (
	"bytes"
	"net/http"

	"topnote/internal/book"
	"topnote/internal/web/jobs"
)

// Recordings that the book keeps with their passes.

// getSound gives the recording of a pass as it was kept, in ranges if the client asks
// for them.
func (a *API) getSound(w http.ResponseWriter, r *http.Request) error {
	p, recording, err := a.Books.Sound(r.PathValue("name"), r.PathValue("number"))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", jobs.AudioType(p.Report.Clip.Container))
	w.Header().Set("Content-Security-Policy", documentPolicy)
	a.Pace.Play(w)
	http.ServeContent(w, r, "", p.Entered, bytes.NewReader(recording))
	return nil
}

// putSound keeps the recording of a pass, which must be the one that was measured.
func (a *API) putSound(w http.ResponseWriter, r *http.Request) error {
	body := a.Pace.Body(w, r, book.MaxSound)
	defer body.Done()
	if err := a.Books.KeepMeasured(r.PathValue("name"), r.PathValue("number"), body); err != nil {
		return body.Cause(err)
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// deleteSound takes the recording of a pass out of the book; the pass stays.
func (a *API) deleteSound(w http.ResponseWriter, r *http.Request) error {
	if err := a.Books.ForgetSound(r.PathValue("name"), r.PathValue("number")); err != nil {
		return err
	}
	w.WriteHeader(http.StatusNoContent)
	return nil
}
