package api

import (
	"io"
	"net/http"
	"strings"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/web/fault"
)

func (a *API) compareRoutes() []Route {
	draw := func(f picture.Format) func(io.Writer, measure.Comparison) error {
		return func(w io.Writer, c measure.Comparison) error {
			return c.Draw(w, f, picture.ComparisonSize(len(c.Report.Passes)))
		}
	}
	return []Route{
		{"GET", "/compare", a.getComparison(fault.TypeJSON, func(w io.Writer, c measure.Comparison) error {
			return report.WriteComparisonJSON(w, c.Report)
		})},
		{"GET", "/compare.txt", a.getComparison(typeText, func(w io.Writer, c measure.Comparison) error {
			return report.WriteComparisonText(w, c.Report, report.TextStyle{Columns: report.DefaultColumns})
		})},
		{"GET", "/compare.html", a.getComparison(typeHTML, func(w io.Writer, c measure.Comparison) error { return c.WriteHTML(w) })},
		{"GET", "/compare.svg", a.getComparison(typeSVG, draw(picture.SVG))},
		{"GET", "/compare.png", a.getComparison(typePNG, draw(picture.PNG))},
	}
}

// getComparison answers with a comparison in one form.
func (a *API) getComparison(kind string, write func(io.Writer, measure.Comparison) error) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		ids := strings.Split(r.URL.Query().Get("clips"), ",")
		return a.draw(w, r, kind, func(w io.Writer) error {
			c, _, err := a.Queue.Compare(ids)
			if err != nil {
				return err
			}
			return write(w, c)
		})
	}
}
