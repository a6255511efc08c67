package jobs

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"mime/multipart"
	"net/http"
	"strings"
	"time"

	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/web/fault"
	"topnote/internal/web/pace"
)

// Intake makes jobs of the recordings that are sent in.
type Intake struct {
	Options Options
	Pace    pace.Options
	Queue   *Queue
	Store   *Store
	// Client gives the name that the seats of a request's sender are counted under;
	// "" where they are not counted.
	Client func(*http.Request) string
	// Machine gives the engine and the speeds of a machine of the book, and its name
	// there.
	Machine func(name string) (engine.Machine, string, error)
}

// Receive reads a form with a recording and makes a job of it. It acquires a seat
// before it reads the body. The error is one that fault.Of recognises.
func (in *Intake) Receive(w http.ResponseWriter, r *http.Request) (Job, error) {
	body := in.Pace.Body(w, r, in.Options.MaxBody+aroundIt) // before the parts, which take the body as it is
	defer body.Done()
	parts, err := r.MultipartReader()
	if err != nil {
		return Job{}, notForm()
	}
	client := in.Client(r)
	if err := in.Queue.Acquire(client); err != nil {
		pace.Drain(r)
		return Job{}, err
	}
	f, err := in.readForm(parts)
	if err != nil {
		in.Queue.Release(client)
		return Job{}, body.Cause(err)
	}
	o, err := in.order(f)
	if err != nil {
		f.upload.Release()
		in.Queue.Release(client)
		return Job{}, err
	}
	return in.Queue.Submit(o, client), nil
}

// Again makes a job of the recording of another one, with other entries.
func (in *Intake) Again(r *http.Request, id string, fields map[string]string) (Job, error) {
	before, ok := in.Queue.Get(id)
	upload := in.Queue.Upload(id)
	if !ok || upload == nil {
		return Job{}, fault.NoJob()
	}
	o, err := in.order(form{fields: fields, file: before.Name, upload: upload})
	o.Recorded = before.Recorded
	client := in.Client(r)
	if err == nil {
		err = in.Queue.Acquire(client)
	}
	if err != nil {
		upload.Release()
		return Job{}, err
	}
	return in.Queue.Submit(o, client), nil
}

// Kept makes a job of a recording that was kept, called name; fields are those of a form.
func (in *Intake) Kept(r *http.Request, name string, recording io.Reader, fields map[string]string) (Job, error) {
	client := in.Client(r)
	if err := in.Queue.Acquire(client); err != nil {
		return Job{}, err
	}
	upload, err := in.Store.Put(recording)
	if err != nil {
		in.Queue.Release(client)
		return Job{}, err
	}
	o, err := in.order(form{fields: fields, file: name, upload: upload})
	if err != nil {
		upload.Release()
		in.Queue.Release(client)
		return Job{}, err
	}
	return in.Queue.Submit(o, client), nil
}

// readForm reads the whole form. Where it fails nothing of it is left.
func (in *Intake) readForm(parts *multipart.Reader) (form, error) {
	f := form{fields: map[string]string{}}
	err := f.read(parts, func(recording io.Reader) (*Upload, error) {
		return in.Store.Put(&limitedReader{r: recording, limit: in.Options.MaxBody})
	})
	if err == nil && f.upload == nil {
		err = noClip()
	}
	if err != nil {
		if f.upload != nil {
			f.upload.Release()
		}
		return form{}, pace.BodyFault(err)
	}
	return f, nil
}

// order reads the fields of a form.
func (in *Intake) order(f form) (Order, error) {
	q, machine, err := in.Query(f.fields)
	if err != nil {
		return Order{}, err
	}
	recorded, err := ParseRecorded(f.fields[FieldRecorded], time.Time{})
	if err != nil {
		return Order{}, err
	}
	name := displayName(cmp.Or(f.fields[FieldName], f.file))
	o := Order{Recorded: recorded, Name: name, Machine: machine, Query: q, ByBrowser: f.fields[FieldDecoded] == "browser", Upload: f.upload}
	if sum := f.fields[FieldSHA256]; o.ByBrowser && sum != "" {
		if !isSHA256(sum) {
			return Order{}, notSHA256()
		}
		o.Original = sum
	}
	return o, nil
}

// isSHA256 reports whether text is a SHA-256 as reports have it.
func isSHA256(text string) bool {
	b, err := hex.DecodeString(text)
	return err == nil && len(b) == sha256.Size && strings.ToLower(text) == text
}

// Query reads the fields of an engine; those that are empty are taken from the
// machine, where one is named. It gives that machine's name as the book has it.
func (in *Intake) Query(fields map[string]string) (engine.Machine, string, error) {
	q := engine.Machine{Spec: engine.TwoStrokeSingle}
	machine := fields[FieldMachine]
	if machine != "" {
		var err error
		if q, machine, err = in.Machine(machine); err != nil {
			return q, "", err
		}
	}
	q, err := entry.Read(fields, q)
	if err != nil {
		return q, "", err
	}
	return q, machine, nil
}
