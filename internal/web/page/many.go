package page

import (
	"net/http"
	"strings"

	"topnote/internal/report"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// manyPage is the table of many recordings, the most dangerous first.
type manyPage struct {
	frame
	Rows []manyRow
}

// manyRow is one recording of it.
type manyRow struct {
	ID   string // "" where it could not be measured
	Path string
	report.Row
}

// showMany shows the recordings that the address names. What is still being measured
// stands among those that could not be judged.
func (p *Pages) showMany(w http.ResponseWriter, r *http.Request) error {
	var outcomes []report.Outcome
	for _, id := range strings.Split(r.FormValue("clips"), ",") {
		j, ok := p.Queue.Get(id)
		if !ok {
			continue // it is deleted by now
		}
		o := report.Outcome{ID: j.ID, File: j.Name}
		switch j.State {
		case jobs.Done:
			o.Report = &j.Result.Report
		case jobs.Failed:
			o.Problem = j.Problem.Sentence()
		default:
			o.Problem = saysState(j)
		}
		outcomes = append(outcomes, o)
	}
	if len(outcomes) == 0 {
		return fault.NoJob()
	}
	page := manyPage{frame: newFrame("/", report.SaysCount(len(outcomes)), "many.js")}
	for _, o := range report.WorstFirst(outcomes) {
		row := manyRow{Path: "/clips/" + o.ID, Row: o.Row()}
		if o.Report != nil {
			row.ID = o.ID
		}
		page.Rows = append(page.Rows, row)
	}
	return render(w, http.StatusOK, "many.html", page)
}
