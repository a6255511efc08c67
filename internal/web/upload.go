package web

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"strconv"
	"strings"
	"time"
	"unicode"

	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/report"
)

// The limits of a form beside its recording.
const (
	maxParts = 16      // parts, which is some more than there are fields
	maxField = 1000    // bytes of a field
	aroundIt = 100_000 // bytes of a body beside the recording
	maxName  = 100     // characters of a name
)

// The fields of a form with a recording.
const (
	fieldClip      = "clip"
	fieldLimit     = "limit"
	fieldIdle      = "idle"
	fieldClutch    = "clutch"
	fieldStrokes   = "strokes"
	fieldCylinders = "cylinders"
	fieldName      = "name"
	fieldMachine   = "machine"
	fieldDecoded   = "decoded" // "browser"
)

// form is a form with a recording as it came in.
type form struct {
	fields map[string]string
	file   string // the name that the sender's system has for it
	bytes  *stored
}

// receive takes a form with a recording in and makes a job of it. It takes a seat
// before it reads the body; the error is a *fault or one that faultOf knows.
func (s *Server) receive(w http.ResponseWriter, r *http.Request) (Job, error) {
	body := s.paceBody(w, r, s.o.MaxBody+aroundIt) // before the parts, which take the body as it is
	defer body.done()
	parts, err := r.MultipartReader()
	if err != nil {
		return Job{}, faultNotForm()
	}
	client := s.clientOf(r)
	if err := s.desk.acquire(client); err != nil {
		drain(r)
		return Job{}, err
	}
	f, err := s.readForm(parts)
	if err != nil {
		s.desk.release(client)
		return Job{}, body.cause(err)
	}
	o, err := s.orderOf(f)
	if err != nil {
		f.bytes.release()
		s.desk.release(client)
		return Job{}, err
	}
	return s.desk.submit(o, client), nil
}

// readForm reads the whole form. Where it fails nothing of it is left.
func (s *Server) readForm(parts *multipart.Reader) (form, error) {
	f := form{fields: map[string]string{}}
	err := f.read(parts, func(recording io.Reader) (*stored, error) {
		return s.store.put(&capped{r: recording, most: s.o.MaxBody})
	})
	if err == nil && f.bytes == nil {
		err = faultNoClip()
	}
	if err != nil {
		if f.bytes != nil {
			f.bytes.release()
		}
		return form{}, bodyFault(err)
	}
	return f, nil
}

// bodyFault is for errors of reading a body: what is none of ours is a damaged
// form.
func bodyFault(err error) error {
	var own *fault
	var large *http.MaxBytesError
	var system *os.PathError // of our own file
	switch {
	case errors.As(err, &own), errors.As(err, &large), errors.As(err, &system):
		return err
	case errors.Is(err, os.ErrDeadlineExceeded):
		return faultTooSlow(err)
	default:
		return faultForm(err)
	}
}

// read reads the parts of a form; keep stores its recording.
func (f *form) read(parts *multipart.Reader, keep func(io.Reader) (*stored, error)) error {
	for n := 0; ; n++ {
		part, err := parts.NextRawPart() // raw: an encoding of its own is of no use here
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if n == maxParts {
			return faultField("...")
		}
		if part.FormName() == fieldClip {
			err = f.readClip(part, keep)
		} else {
			err = f.readField(part)
		}
		if err != nil {
			return err
		}
	}
}

func (f *form) readClip(part *multipart.Part, keep func(io.Reader) (*stored, error)) error {
	if f.bytes != nil {
		return faultTwice(fieldClip)
	}
	f.file = part.FileName()
	var err error
	f.bytes, err = keep(part)
	return err
}

func (f *form) readField(part *multipart.Part) error {
	name := part.FormName()
	switch name {
	case fieldLimit, fieldIdle, fieldClutch, fieldStrokes, fieldCylinders, fieldName, fieldMachine, fieldDecoded:
	default:
		return faultField(displayName(name))
	}
	if _, twice := f.fields[name]; twice {
		return faultTwice(name)
	}
	text, err := io.ReadAll(io.LimitReader(part, maxField+1))
	if err != nil {
		return err
	}
	if len(text) > maxField {
		return faultField(name)
	}
	f.fields[name] = strings.TrimSpace(string(text))
	return nil
}

// orderOf reads what the fields of a form say.
func (s *Server) orderOf(f form) (order, error) {
	q, machine, err := s.queryOf(f.fields)
	if err != nil {
		return order{}, err
	}
	name := f.fields[fieldName]
	if name == "" {
		name = f.file
	}
	return order{name: displayName(name), machine: machine, query: q, browser: f.fields[fieldDecoded] == "browser", bytes: f.bytes}, nil
}

// queryOf reads what was entered of an engine; what was not is taken from the
// machine, where one is named. It gives that machine's name as the book has it.
func (s *Server) queryOf(fields map[string]string) (engine.Machine, string, error) {
	q := engine.Machine{Spec: engine.TwoStrokeSingle}
	machine := fields[fieldMachine]
	if machine != "" {
		m, err := s.machine(machine)
		if err != nil {
			return q, "", err
		}
		q, machine = report.Query(m.Engine, m.Limits), m.Name
	}
	for name, to := range map[string]*engine.RPM{fieldLimit: &q.Limits.Max, fieldIdle: &q.Limits.Idle, fieldClutch: &q.Limits.Clutch} {
		if text := fields[name]; text != "" {
			v, err := measure.ParseSpeed(text)
			if err != nil {
				return q, "", named(name, err)
			}
			*to = v
		}
	}
	for name, to := range map[string]*int{fieldStrokes: &q.Spec.Strokes, fieldCylinders: &q.Spec.Cylinders} {
		if text := fields[name]; text != "" {
			v, err := strconv.Atoi(text)
			if err != nil {
				return q, "", faultWhole(name, text)
			}
			*to = v
		}
	}
	return q, machine, measure.Check(q)
}

// named puts the name of a field before what is said of it.
func named(field string, err error) error {
	f := *faultOf(err)
	f.says = field + ": " + f.says
	return &f
}

// displayName makes a name that a sender gave fit to be shown: the last part of
// a path, printable, short. No file here is ever called by it.
func displayName(text string) string {
	text = strings.ToValidUTF8(text, "?")
	if i := strings.LastIndexAny(text, `/\`); i >= 0 {
		text = text[i+1:]
	}
	text = strings.TrimSpace(strings.Map(func(c rune) rune {
		if unicode.IsPrint(c) {
			return c
		}
		return '?'
	}, text))
	if short := []rune(text); len(short) > maxName {
		text = string(short[:maxName])
	}
	if text == "" {
		return unnamed
	}
	return text
}

// capped fails where more than most bytes come.
type capped struct {
	r    io.Reader
	most int64
	got  int64
}

// Read implements io.Reader.
func (c *capped) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	if c.got += int64(n); c.got > c.most {
		return 0, faultTooBig(c.most)
	}
	return n, err
}

// paced is a body that has to come at some pace. It stands in place of the body
// of its request.
type paced struct {
	io.ReadCloser
	control *http.ResponseController
	o       Options
	began   time.Time
	got     int64
	failed  error // once, for good: readers above ask again
}

// paceBody puts limits of size, pace and time on the body of a request. The
// caller calls done when it has read what it wants.
func (s *Server) paceBody(w http.ResponseWriter, r *http.Request, most int64) *paced {
	p := &paced{ReadCloser: http.MaxBytesReader(w, r.Body, most), control: http.NewResponseController(w), o: s.o, began: time.Now()}
	r.Body = p
	return p
}

// Read implements io.Reader. It gives a *fault for a body that comes too slowly.
func (p *paced) Read(b []byte) (int, error) {
	if p.failed != nil {
		return 0, p.failed
	}
	now := time.Now()
	until := now.Add(p.o.Quiet)
	if last := p.began.Add(p.o.BodyTime); until.After(last) {
		until = last
	}
	_ = p.control.SetReadDeadline(until) // only a recorder of tests has none
	n, err := p.ReadCloser.Read(b)
	p.got += int64(n)
	since := time.Since(p.began)
	if err == nil && since > p.o.Quiet && float64(p.got) < p.o.MinPace*since.Seconds() {
		err = faultTooSlow(nil)
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = faultTooSlow(err)
	}
	p.failed = err
	return n, err
}

// cause gives the *fault that a body ended with, in place of what its readers made
// of that: they can take a line that breaks off for a damaged one.
func (p *paced) cause(err error) error {
	var own *fault
	if errors.As(p.failed, &own) {
		return own
	}
	return err
}

// done takes the deadline away, which would end the request later on, and gives
// the answer its own time.
func (p *paced) done() {
	_ = p.control.SetReadDeadline(time.Time{})
	_ = p.control.SetWriteDeadline(time.Now().Add(p.o.AnswerTime))
}

// maxDrain is how much of a refused body is read, bytes, so that its sender gets
// to see the answer: those that send all before they listen would find the
// connection broken.
const maxDrain = 20_000_000

// drain reads a body that is not wanted, unless its sender waits to be asked
// for it.
func drain(r *http.Request) {
	if r.Header.Get("Expect") == "" {
		_, _ = io.CopyN(io.Discard, r.Body, maxDrain) // what is wrong with it does not matter any more
	}
}
