package api

import (
	"cmp"
	"io"
	"mime"
	"net/http"
	"path/filepath"
	"strings"

	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/web/fault"
)

// form is one form of a result.
type form struct {
	name, kind string
	write      func(io.Writer, measure.Measurement) error
}

// forms are all forms of a result, by the last part of their address.
var forms = []form{
	{"report", fault.TypeJSON, ofReport(report.WriteJSON)},
	{"report.json", fault.TypeJSON, ofReport(report.WriteJSON)},
	{"report.csv", typeCSV, ofReport(report.WriteCSV)},
	{"report.vtt", typeVTT, ofReport(report.WriteVTT)},
	{"report.txt", typeText, func(w io.Writer, m measure.Measurement) error {
		return report.WriteText(w, m.Report, report.TextStyle{Columns: report.DefaultColumns})
	}},
	{"reply.txt", typeText, func(w io.Writer, m measure.Measurement) error {
		_, err := io.WriteString(w, m.Reply)
		return err
	}},
	{"report.html", typeHTML, func(w io.Writer, m measure.Measurement) error { return m.WriteHTML(w) }},
	{"report.svg", typeSVG, func(w io.Writer, m measure.Measurement) error { return m.Draw(w, picture.SVG, picture.DefaultSize) }},
	{"report.png", typePNG, func(w io.Writer, m measure.Measurement) error { return m.Draw(w, picture.PNG, picture.DefaultSize) }},
}

func ofReport(write func(io.Writer, report.Report) error) func(io.Writer, measure.Measurement) error {
	return func(w io.Writer, m measure.Measurement) error { return write(w, m.Report) }
}

// getForm answers with one form of a result; with ?download=1 the browser saves it
// under the name of the recording.
func (a *API) getForm(f form) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		j, err := a.Queue.Result(r.PathValue("id"))
		if err != nil {
			return err
		}
		if r.URL.Query().Get("download") != "" {
			ending := cmp.Or(filepath.Ext(f.name), ".json")
			saveAs(w, strings.TrimSuffix(j.Name, filepath.Ext(j.Name))+ending)
		}
		return a.draw(w, r, f.kind, func(w io.Writer) error { return f.write(w, j.Result) })
	}
}

// saveAs makes a browser save an answer under a name, RFC 6266.
func saveAs(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
}
