package web

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strconv"

	"topnote/internal/diagnose"
	"topnote/internal/picture"
)

// getTrend answers with the trend of a machine in one form.
func (s *Server) getTrend(kind string, write func(io.Writer, diagnose.Trend) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		m, passes, err := s.passes(r.PathValue("name"))
		if err != nil {
			return err
		}
		return s.drawing(w, r, kind, func(w io.Writer) error {
			return write(w, diagnose.NewTrend(m, passes, diagnose.Default()))
		})
	}
}

func drawTrend(f picture.Format) func(io.Writer, diagnose.Trend) error {
	return func(w io.Writer, t diagnose.Trend) error {
		return picture.DrawTrend(w, f, picture.TrendSize, TrendPicture(t))
	}
}

// TrendPicture gives a trend of the book in the form that is drawn: book and
// picture know nothing of each other.
func TrendPicture(t diagnose.Trend) picture.Trend {
	p := picture.Trend{Name: t.Machine.Name, Limits: t.Machine.Limits}
	for _, point := range t.Passes {
		p.Passes = append(p.Passes, picture.TrendPass{
			Number: point.Number, At: point.Recorded, Top: point.SustainedRPM, TopSD: point.SDRPM,
			Corrected: point.CorrectedRPM, CorrectedSD: point.CorrectedSDRPM,
			FourStroking: point.FourStroking, Idle: point.IdleRPM, IdleSD: point.IdleSDRPM,
		})
	}
	return p
}

// getWhy explains a pass against one before it: ?to= the pass, ?from= the one
// before; without, the last and the one before that.
func (s *Server) getWhy(w http.ResponseWriter, r *http.Request) error {
	to, err := passNumber(r, "to")
	if err != nil {
		return err
	}
	from, err := passNumber(r, "from")
	if err != nil {
		return err
	}
	e, err := s.why(r.PathValue("name"), from, to)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := e.WriteJSON(&b); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, json.RawMessage(b.Bytes()))
	return nil
}

// why explains pass to against pass from; 0 is the last, or the one before.
func (s *Server) why(machine string, from, to int64) (diagnose.Explanation, error) {
	_, passes, err := s.passes(machine)
	if err != nil {
		return diagnose.Explanation{}, err
	}
	if to == 0 {
		for _, p := range passes {
			if p.ReplacedBy == 0 {
				to = p.Number
			}
		}
	}
	if to == 0 {
		return diagnose.Explanation{}, faultOtherMachine()
	}
	return diagnose.Why(passes, to, from, diagnose.Default())
}

// passNumber reads the number of a pass from the query; 0 where none is given.
func passNumber(r *http.Request, name string) (int64, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, faultQuery(name)
	}
	return n, nil
}
