package page

import (
	"html/template"
	"io"
	"net/http"
	"net/url"
	"strings"

	"topnote/internal/measure"
	"topnote/internal/report"
	"topnote/internal/web/jobs"
)

// choosePage is the form to choose two passes.
type choosePage struct {
	frame
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

// showCompare compares the two passes that the address names, or shows the form to
// choose them.
func (p *Pages) showCompare(w http.ResponseWriter, r *http.Request) error {
	first, second := r.FormValue("first"), r.FormValue("second")
	ids := []string{first, second}
	if chosen := r.Form["clip"]; len(chosen) > 1 { // of a table of many
		ids = chosen
	}
	if ids[0] != "" && ids[1] != "" {
		err := p.showComparison(w, r, ids)
		if err == nil {
			return nil
		}
		return p.choosePasses(w, r, err)
	}
	if r.Form.Has("first") && r.Form.Has("second") {
		return p.choosePasses(w, r, onePass())
	}
	return p.choosePasses(w, r, nil)
}

// choosePasses shows the form to choose two passes; refused is what was wrong with
// the last choice, nil for nothing.
func (p *Pages) choosePasses(w http.ResponseWriter, r *http.Request, refused error) error {
	machines, err := p.machineFields()
	if err != nil && refused == nil {
		refused = err
	}
	var list []recent
	for _, j := range p.Queue.Finished() {
		list = append(list, recent{j.ID, saysRecent(j)})
	}
	page := choosePage{frame: newFrame("/compare", headCompare, "choose.js"), Machines: machines, Figures: typedFields(nil)}
	for _, id := range []string{"first", "second"} {
		page.Sides = append(page.Sides, side{id, list, r.FormValue(id)})
	}
	status := p.setProblem(&page.frame, refused)
	return render(w, status, "compare.html", page)
}

// comparisonPage is the page of two passes.
type comparisonPage struct {
	frame
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
	Number                int // from 1
	Which, Name, ID, Says string
	Advice                []string
}

func (p *Pages) showComparison(w http.ResponseWriter, r *http.Request, ids []string) error {
	var c measure.Comparison
	var compared []jobs.Job
	picture, err := p.inline(r, func(w io.Writer) error {
		var err error
		if c, compared, err = p.Queue.Compare(ids); err != nil {
			return err
		}
		return c.Inline(w)
	})
	if err != nil {
		return err
	}
	page := comparisonPage{
		frame: newFrame("/compare", headCompare, "compare.js"),
		View:  report.NewComparisonView(c.Report), Comparison: c.Report, Picture: picture,
		Report:   jobs.Root + "/compare.html?" + url.Values{"clips": {strings.Join(ids, ",")}}.Encode(),
		Swap:     swapped(ids),
		Cautions: c.Report.Passes[0].Report.Verdict.Cautions,
	}
	for i, pass := range c.Report.Passes {
		page.add(report.Ordinal(i+1), compared[i], pass)
	}
	return render(w, http.StatusOK, "comparison.html", page)
}

// swapped gives the address of the same comparison with the last pass first.
func swapped(ids []string) string {
	last := len(ids) - 1
	return "/compare?" + url.Values{"clip": append([]string{ids[last]}, ids[:last]...)}.Encode()
}

// add adds one of the passes.
func (c *comparisonPage) add(which string, j jobs.Job, pass report.ComparedPass) {
	v := pass.Report.Verdict
	c.Sounds = append(c.Sounds, j.Address()+"/audio")
	c.Traces = append(c.Traces, newTrace(j.Name, pass.Report, pass.OpensAtS))
	c.Passes = append(c.Passes, comparedPass{len(c.Passes) + 1, which, j.Name, j.ID, v.Says, v.Advice})
	if pass.OpensAtS == nil {
		c.NotAligned = saysNotAligned
	}
}
