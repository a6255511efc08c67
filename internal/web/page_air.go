package web

import (
	"net/http"
	"slices"

	"topnote/internal/air"
	"topnote/internal/report"
)

// airPage is the page of the air.
type airPage struct {
	pageFrame
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

// showAir works out the air that the address has, or asks for it.
func (s *Server) showAir(w http.ResponseWriter, r *http.Request) error {
	u := unitsOf(r)
	if r.FormValue("units") != "" {
		keepUnits(w, u)
	}
	machines, err := s.machineFields()
	if err != nil {
		return err
	}
	p := airPage{
		pageFrame: newPageFrame("/air", headAir, "air.js"), Machines: machines, Machine: r.FormValue(fieldMachine),
		Now: newAirFields("", u, r.FormValue), Then: newAirFields(thenPrefix, u, r.FormValue), Cautions: air.Cautions(),
	}
	status := s.refused(&p.pageFrame, s.assess(&p, r, u))
	return render(w, status, "air.html", p)
}

// assess puts the answer onto the page, where an air was entered.
func (s *Server) assess(p *airPage, r *http.Request, u air.Units) error {
	since, err := s.since(p, r, u)
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
	p.Result, p.Headline, p.Causes = true, result.Headline(u), result.Causes()
	p.Warnings, p.Advice, p.Notes = result.Warnings(u), result.Advice(), result.Notes(u)
	p.Table = report.Table{Caption: headFigures, Columns: columns, Rows: result.Rows(u)}
	return nil
}

// since gives the air of the day on which the screws were set: as entered, or
// that of the last pass of the machine; nil for none.
func (s *Server) since(p *airPage, r *http.Request, u air.Units) (*air.Reading, error) {
	then, err := readingFrom(r, thenPrefix, u)
	if err != nil || then != nil {
		p.ThenOpen = true
		return then, err
	}
	p.ThenOpen = len(p.Machines) == 0
	if p.Machine == "" {
		return nil, nil
	}
	m, passes, err := s.passes(p.Machine)
	if err != nil {
		return nil, err
	}
	for _, one := range slices.Backward(passes) {
		if one.Air != nil && one.ReplacedBy == 0 {
			p.SinceSays = saysSince(one, u)
			return one.Air, nil
		}
	}
	return nil, faultNoAir(m.Name)
}
