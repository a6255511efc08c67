package web

import (
	"io"
	"net/http"
	"strings"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
)

func (s *Server) compareRoutes() []route {
	draw := func(f picture.Format) func(io.Writer, measure.Comparison) error {
		return func(w io.Writer, c measure.Comparison) error {
			return c.Draw(w, f, picture.ComparisonSize(len(c.Report.Passes)))
		}
	}
	return []route{
		{"GET", "/compare", s.getComparison(typeJSON, func(w io.Writer, c measure.Comparison) error {
			return report.WriteComparisonJSON(w, c.Report)
		})},
		{"GET", "/compare.txt", s.getComparison(typeText, func(w io.Writer, c measure.Comparison) error {
			return report.WriteComparisonText(w, c.Report, report.TextStyle{Columns: report.DefaultColumns})
		})},
		{"GET", "/compare.html", s.getComparison(typeHTML, func(w io.Writer, c measure.Comparison) error { return c.WriteHTML(w) })},
		{"GET", "/compare.svg", s.getComparison(typeSVG, draw(picture.SVG))},
		{"GET", "/compare.png", s.getComparison(typePNG, draw(picture.PNG))},
	}
}

// getComparison answers with a comparison in one form.
func (s *Server) getComparison(kind string, write func(io.Writer, measure.Comparison) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		ids := strings.Split(r.URL.Query().Get("clips"), ",")
		return s.drawing(w, r, kind, func(w io.Writer) error {
			c, _, err := s.compare(ids)
			if err != nil {
				return err
			}
			return write(w, c)
		})
	}
}

// compare lays measured clips side by side, and gives their jobs. It takes a
// moment of a core: call it within drawing.
func (s *Server) compare(ids []string) (measure.Comparison, []Job, error) {
	if len(ids) > report.MaxPasses {
		ids = ids[:report.MaxPasses+1] // enough to be refused
	}
	var jobs []Job
	var passes []measure.Measurement
	for _, id := range ids {
		j, err := s.result(id)
		if err != nil {
			return measure.Comparison{}, nil, err
		}
		if len(jobs) > 0 && j.Query != jobs[0].Query {
			return measure.Comparison{}, nil, faultOther()
		}
		jobs, passes = append(jobs, j), append(passes, j.Result)
	}
	c, err := measure.Compare(passes)
	return c, jobs, err
}
