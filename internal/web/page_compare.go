package web

import (
	"html/template"
	"io"
	"net/http"
	"net/url"
	"slices"

	"topnote/internal/measure"
	"topnote/internal/report"
)

// finished gives the measured clips, the newest first.
func (d *queue) finished() []Job {
	d.mu.Lock()
	defer d.mu.Unlock()
	var list []Job
	for _, j := range d.jobs {
		if j.State == Done {
			list = append(list, d.view(j))
		}
	}
	slices.SortFunc(list, func(a, b Job) int { return b.Made.Compare(a.Made) })
	return list
}

// choosePage asks for two passes.
type choosePage struct {
	pageFrame
	Sides    []side
	Machines []figureFields
	Machine  string // none is chosen
	Figures  figureFields
}

// side is the choice of one of them.
type side struct {
	ID     string // first or second: also the name of the field
	Recent []recent
	Chosen string
}

// recent is a measured clip to choose.
type recent struct{ ID, Name string }

// showCompare compares the two passes that the address names, or asks for them.
func (s *Server) showCompare(w http.ResponseWriter, r *http.Request) error {
	first, second := r.FormValue("first"), r.FormValue("second")
	if first != "" && second != "" {
		err := s.showComparison(w, r, []string{first, second})
		if err == nil {
			return nil
		}
		return s.askPasses(w, r, err)
	}
	if r.Form.Has("first") && r.Form.Has("second") {
		return s.askPasses(w, r, faultOnePass())
	}
	return s.askPasses(w, r, nil)
}

// askPasses asks for the passes; refused is what was wrong with the last choice,
// nil for nothing.
func (s *Server) askPasses(w http.ResponseWriter, r *http.Request, refused error) error {
	machines, err := s.machineFields()
	if err != nil && refused == nil {
		refused = err
	}
	var list []recent
	for _, j := range s.desk.finished() {
		list = append(list, recent{j.ID, saysRecent(j)})
	}
	p := choosePage{pageFrame: newPageFrame("/compare", headCompare, "choose.js"), Machines: machines, Figures: typedFields(nil)}
	for _, id := range []string{"first", "second"} {
		p.Sides = append(p.Sides, side{id, list, r.FormValue(id)})
	}
	status := s.refused(&p.pageFrame, refused)
	return render(w, status, "compare.html", p)
}

// comparisonPage is the page of two passes.
type comparisonPage struct {
	pageFrame
	View       report.ComparisonView
	Comparison report.Comparison
	NotAligned string
	Sounds     []string // their addresses
	Picture    template.HTML
	Traces     []trace
	Passes     []comparedPass
	Report     string // its address
	Swap       string
	Cautions   []string
}

// comparedPass is one of the two in short.
type comparedPass struct {
	Which, Name, ID, Says string
	Advice                []string
}

func (s *Server) showComparison(w http.ResponseWriter, r *http.Request, ids []string) error {
	var c measure.Comparison
	var jobs []Job
	picture, err := s.inline(r, func(w io.Writer) error {
		var err error
		if c, jobs, err = s.compare(ids); err != nil {
			return err
		}
		return c.Inline(w)
	})
	if err != nil {
		return err
	}
	p := comparisonPage{
		pageFrame: newPageFrame("/compare", headCompare, "compare.js"),
		View:      report.NewComparisonView(c.Report), Comparison: c.Report, Picture: picture,
		Report:   apiRoot + "/compare.html?" + url.Values{"clips": {ids[0] + "," + ids[1]}}.Encode(),
		Swap:     "/compare?" + url.Values{"first": {ids[1]}, "second": {ids[0]}}.Encode(),
		Cautions: c.Report.Passes[0].Report.Verdict.Cautions,
	}
	for i, compared := range c.Report.Passes {
		p.add(report.Ordinal(i+1), jobs[i], compared)
	}
	return render(w, http.StatusOK, "comparison.html", p)
}

// add adds one of the passes.
func (p *comparisonPage) add(which string, j Job, compared report.ComparedPass) {
	v := compared.Report.Verdict
	p.Sounds = append(p.Sounds, apiRoot+"/clips/"+j.ID+"/audio")
	p.Traces = append(p.Traces, newTrace(j.Name, compared.Report, compared.OpensAtS))
	p.Passes = append(p.Passes, comparedPass{which, j.Name, j.ID, v.Says, v.Advice})
	if compared.OpensAtS == nil {
		p.NotAligned = saysNotAligned
	}
}
