package page

import (
	"net/http"
	"slices"

	"topnote/internal/air"
	"topnote/internal/report"
	"topnote/internal/web/jobs"
)

// airPage is the page of the air.
type airPage struct {
	frame
	Result    bool // there is one
	Headline  string
	Causes    string
	Warnings  []string
	Advice    []string
	Notes     []string
	Table     report.Table
	Now, Then airFields
	ThenOpen  bool
	Machines  []figureFields
	Machine   string
	SinceSays string
	Cautions  []string
}

// thenPrefix is what the fields of the earlier air begin with.
const thenPrefix = "then_"

// showAir shows what the air of the address does, or the empty form.
func (p *Pages) showAir(w http.ResponseWriter, r *http.Request) error {
	u := unitsOf(r)
	if r.FormValue("units") != "" {
		keepUnits(w, u)
	}
	machines, err := p.machineFields()
	if err != nil {
		return err
	}
	page := airPage{
		frame: newFrame("/air", headAir, "air.js"), Machines: machines, Machine: r.FormValue(jobs.FieldMachine),
		Now: newAirFields("", u, r.FormValue), Then: newAirFields(thenPrefix, u, r.FormValue), Cautions: air.Cautions(),
	}
	status := p.setProblem(&page.frame, p.assess(&page, r, u))
	return render(w, status, "air.html", page)
}

// assess puts the result onto the page, where an air was entered.
func (p *Pages) assess(page *airPage, r *http.Request, u air.Units) error {
	since, err := p.since(page, r, u)
	if err != nil {
		return err
	}
	now, err := readingFrom(r, "", u)
	if err != nil || now == nil {
		return err
	}
	o := air.Default()
	a, err := now.Air(o)
	if err != nil {
		return err
	}
	var b *air.Air
	columns := []string{"", "now"}
	if since != nil {
		then, err := since.Air(o)
		if err != nil {
			return err
		}
		b = &then
		columns = append(columns, "then")
	}
	result, err := air.Assess(a, b, nil, o)
	if err != nil {
		return err
	}
	page.Result, page.Headline, page.Causes = true, result.Headline(u), result.Causes()
	page.Warnings, page.Advice, page.Notes = result.Warnings(u), result.Advice(), result.Notes(u)
	page.Table = report.Table{Caption: headFigures, Columns: columns, Rows: result.Rows(u)}
	return nil
}

// since gives the air of the day on which the screws were set: as entered, or
// that of the last pass of the machine; nil for none.
func (p *Pages) since(page *airPage, r *http.Request, u air.Units) (*air.Reading, error) {
	then, err := readingFrom(r, thenPrefix, u)
	if err != nil || then != nil {
		page.ThenOpen = true
		return then, err
	}
	page.ThenOpen = len(page.Machines) == 0
	if page.Machine == "" {
		return nil, nil
	}
	m, passes, err := p.Books.Passes(page.Machine)
	if err != nil {
		return nil, err
	}
	for _, one := range slices.Backward(passes) {
		if one.Air != nil && one.ReplacedBy == 0 {
			page.SinceSays = saysSince(one, u)
			return one.Air, nil
		}
	}
	return nil, noAir(m.Name)
}
