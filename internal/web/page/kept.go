package page

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"topnote/internal/book"
	"topnote/internal/web/jobs"
	"topnote/internal/web/pace"
)

// Recordings that the book keeps: to be heard, measured anew, compared and deleted.

// keptSound is the recording of a pass of the book, as its page shows it.
type keptSound struct {
	Path string // of the pass
	Says string // size and age
}

// soundOf gives the recording of a pass; nil where the book keeps none.
func (p *Pages) soundOf(pass book.Pass, path string) (*keptSound, error) {
	sounds, err := p.Books.Sounds()
	s, there := sounds[pass.Number]
	if err != nil || !there {
		return nil, err
	}
	return &keptSound{path, saysKept(s, time.Now())}, nil
}

// playKept gives the recording of a pass for playing.
func (p *Pages) playKept(w http.ResponseWriter, r *http.Request) error {
	pass, recording, err := p.Books.Sound(r.PathValue("machine"), r.PathValue("pass"))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", jobs.AudioType(pass.Report.Clip.Container))
	p.Pace.Play(w)
	http.ServeContent(w, r, "", pass.Entered, bytes.NewReader(recording))
	return nil
}

// forgetKept deletes the recording of a pass.
func (p *Pages) forgetKept(w http.ResponseWriter, r *http.Request) error {
	if err := p.Books.ForgetSound(r.PathValue("machine"), r.PathValue("pass")); err != nil {
		return err
	}
	http.Redirect(w, r, pathTo("book", r.PathValue("machine"), "p", r.PathValue("pass"))+"?said=forgotten", http.StatusSeeOther)
	return nil
}

// againKept measures the recording of a pass anew.
func (p *Pages) againKept(w http.ResponseWriter, r *http.Request) error {
	j, err := p.submitKept(r, r.PathValue("pass"))
	if err != nil {
		return err
	}
	http.Redirect(w, r, j.Page(), http.StatusSeeOther)
	return nil
}

// compareKept measures the recordings of two passes anew, both as the machine is in the
// book, and goes to their comparison.
func (p *Pages) compareKept(w http.ResponseWriter, r *http.Request) error {
	if err := p.readEntries(w, r); err != nil {
		return err
	}
	var made []jobs.Job
	for _, name := range []string{"first", "second"} {
		j, err := p.submitKept(r, r.PostForm.Get(name))
		if err != nil {
			return p.renderMachine(w, r, err)
		}
		made = append(made, j)
	}
	pace.NoLimit(w) // the queue is bounded, and so is the work
	for _, j := range made {
		p.Queue.Wait(r.Context(), j.ID) // how it ended shows on the page of the comparison
	}
	p.Pace.Answer(w)
	http.Redirect(w, r, "/compare?"+url.Values{"first": {made[0].ID}, "second": {made[1].ID}}.Encode(), http.StatusSeeOther)
	return nil
}

// submitKept has the recording of a pass of the request's machine measured anew.
func (p *Pages) submitKept(r *http.Request, number string) (jobs.Job, error) {
	machine := r.PathValue("machine")
	pass, recording, err := p.Books.Sound(machine, number)
	if err != nil {
		return jobs.Job{}, err
	}
	return p.Intake.Kept(r, saysPassOf(pass.Number, pass.Machine), bytes.NewReader(recording), map[string]string{
		jobs.FieldMachine: machine, jobs.FieldRecorded: pass.Recorded.Local().Format(jobs.RecordedLayout),
	})
}

// keepClip keeps the recording of a clip with the pass that it became.
func (p *Pages) keepClip(id string, pass int64) error {
	upload := p.Queue.Upload(id)
	if upload == nil {
		return nil // it has expired meanwhile; the pass is stored
	}
	defer upload.Release()
	f, err := upload.Open()
	if err != nil {
		return err
	}
	defer f.Close() // only read from
	return p.Books.KeepSound(pass, f)
}

// sizeOf says how large the recording of a clip is; "" where it is more than a book keeps.
func (p *Pages) sizeOf(id string) string {
	upload := p.Queue.Upload(id)
	if upload == nil {
		return ""
	}
	defer upload.Release()
	if upload.Size() > book.MaxSound {
		return ""
	}
	return saysBytes(upload.Size())
}

// listKept puts the passes with a recording into the lists to compare.
func (p *machinePage) listKept(passes []book.Pass, sounds map[int64]book.Sound) {
	var all []listed
	for _, one := range passes {
		if s, there := sounds[one.Number]; there {
			all = append(all, listed{Number: one.Number, Day: saysDay(one.Recorded), Says: saysKept(s, time.Now())})
		}
	}
	for i := range p.Passes {
		if s, there := sounds[p.Passes[i].Number]; there {
			p.Passes[i].Kept = fmt.Sprintf(saysWithSound, saysBytes(s.Bytes))
		}
	}
	if n := len(all); n >= 2 {
		p.First, p.Second = slices.Clone(all), all
		p.First[n-2].Chosen, p.Second[n-1].Chosen = true, true
	}
}

// saysKept gives size and age of a recording that the book keeps.
func saysKept(s book.Sound, now time.Time) string {
	days := int(now.Sub(s.Kept).Hours() / 24)
	switch {
	case days < 1:
		return saysBytes(s.Bytes) + ", kept today"
	case days == 1:
		return saysBytes(s.Bytes) + ", kept for 1 day"
	}
	return saysBytes(s.Bytes) + ", kept for " + strconv.Itoa(days) + " days"
}

func saysBytes(n int64) string {
	if n < 1_000_000 {
		return fmt.Sprintf("%d kB", max(1, n/1000))
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
