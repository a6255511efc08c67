package api

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"

	"topnote/internal/diagnose"
	"topnote/internal/picture"
	"topnote/internal/web/books"
	"topnote/internal/web/fault"
)

// getTrend answers with the trend of a machine in one form.
func (a *API) getTrend(kind string, write func(io.Writer, diagnose.Trend) error) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		return a.draw(w, r, kind, func(w io.Writer) error {
			t, err := a.Books.Trend(r.PathValue("name"))
			if err != nil {
				return err
			}
			return write(w, t)
		})
	}
}

func drawTrend(f picture.Format) func(io.Writer, diagnose.Trend) error {
	return func(w io.Writer, t diagnose.Trend) error {
		return picture.DrawTrend(w, f, picture.TrendSize, books.TrendPicture(t))
	}
}

// getWhy explains a pass by one before it: ?to= the pass, ?from= the one before;
// without, the last and the one before that.
func (a *API) getWhy(w http.ResponseWriter, r *http.Request) error {
	query := r.URL.Query()
	to, err := books.ParseNumber("to", query.Get("to"))
	if err != nil {
		return err
	}
	from, err := books.ParseNumber("from", query.Get("from"))
	if err != nil {
		return err
	}
	e, err := a.Books.Why(r.PathValue("name"), from, to)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := e.WriteJSON(&b); err != nil {
		return err
	}
	fault.WriteJSON(w, http.StatusOK, json.RawMessage(b.Bytes()))
	return nil
}
