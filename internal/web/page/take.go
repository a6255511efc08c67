package page

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"net/url"
	"strconv"

	"topnote/internal/web/fault"
	"topnote/internal/web/pace"
)

// The book taken along to another device, and brought from one: as JSON, and as the
// file itself.

// maxBook is how large a book that is brought may be, bytes: some thousand passes.
const maxBook = 200_000_000

func (p *Pages) takeJSON(w http.ResponseWriter, _ *http.Request) error {
	return p.take(w, "application/json", "topnote-book.json", p.Books.Export)
}

func (p *Pages) takeFile(w http.ResponseWriter, _ *http.Request) error {
	return p.take(w, "application/vnd.sqlite3", "topnote-book.sqlite", p.Books.WriteFile)
}

// take sends the book, whole or not at all.
func (p *Pages) take(w http.ResponseWriter, kind, name string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
	pace.NoLimit(w)
	_, _ = b.WriteTo(w) // an error here means that the client has gone
	return nil
}

// bringBook adds a book that was taken along elsewhere: all of it, or nothing.
func (p *Pages) bringBook(w http.ResponseWriter, r *http.Request) error {
	body := p.Pace.Body(w, r, maxBook)
	defer body.Done()
	parts, err := r.MultipartReader()
	if err != nil {
		return fault.Form(err)
	}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return p.renderBook(w, typedFields(nil), "", noBookChosen())
		}
		if err != nil {
			return pace.BodyFault(err)
		}
		if part.FormName() != "book" || part.FileName() == "" {
			continue
		}
		done, err := p.Books.Import(part)
		if err != nil {
			return p.renderBook(w, typedFields(nil), "", body.Cause(err))
		}
		v := url.Values{"machines": {strconv.Itoa(done.Machines)}, "passes": {strconv.Itoa(done.Passes)}, "present": {strconv.Itoa(done.Present)},
			"recordings": {strconv.Itoa(done.Recordings)}, "without": {strconv.Itoa(done.LeftOut)}}
		http.Redirect(w, r, "/book?"+v.Encode(), http.StatusSeeOther)
		return nil
	}
}
