package page

import (
	"net/http"

	"topnote/internal/engine"
	"topnote/internal/verdict"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// livePage is the page that listens.
type livePage struct {
	frame
	Machines []figureFields
	Machine  string
	Figures  figureFields
	Cautions []string
}

// showLive shows the live view, filled with what the address has.
func (p *Pages) showLive(w http.ResponseWriter, r *http.Request) error {
	machines, err := p.machineFields()
	page := livePage{frame: newFrame("/", headLive, "live.js"), Machines: machines, Figures: typedFields(r.URL.Query()), Cautions: verdict.Cautions(engine.KindUnknown)}
	if err != nil { // it can still listen
		page.Problem = fault.Log(p.Log, err).Sentence()
	}
	for _, m := range machines {
		if m.Name == r.FormValue(jobs.FieldMachine) {
			page.Machine, page.Figures = m.Name, m
		}
	}
	return render(w, http.StatusOK, "live.html", page)
}
