package air

import (
	"strings"
)

// The parts of WriteText, for a web page.

// Headline gives the answer in one sentence.
func (r Result) Headline(u Units) string { return r.headline(u) }

// Causes gives the effects of temperature, pressure and humidity, each alone; ""
// without a second air.
func (r Result) Causes() string {
	if r.Shift == nil {
		return ""
	}
	return r.Shift.causes()
}

// FilterSays gives the effect of the filter in sentences; nil without one.
func (r Result) FilterSays(u Units) []string {
	if r.Filter == nil {
		return nil
	}
	return r.Filter.says(u)
}

// Rows gives the figures of the airs side by side: the name, now and, with a
// second air, then.
func (r Result) Rows(u Units) [][]string {
	airs := []Air{r.Now}
	if r.Since != nil {
		airs = append(airs, *r.Since)
	}
	var rows [][]string
	for _, f := range figures(u) {
		cells := []string{f.name}
		for _, a := range airs {
			cells = append(cells, f.value(a))
		}
		rows = append(rows, cells)
	}
	return rows
}

// Text writes the reading for people: "8 °C, 80 %, 120 m".
func (r Reading) Text(u Units) string {
	var says []string
	add := func(name, value string) { says = append(says, strings.TrimSpace(name+" "+value)) }
	if r.Temp != nil {
		add("", u.temp(*r.Temp))
	}
	if r.RH != nil {
		add("humidity", share(*r.RH))
	}
	if r.DewPoint != nil {
		add("dew point", u.temp(*r.DewPoint))
	}
	if r.Altitude != nil {
		add("height", u.height(*r.Altitude))
	}
	if r.Pressure != nil {
		add("pressure", u.pressure(*r.Pressure))
	}
	if r.QNH != nil {
		add("sea-level pressure", u.pressure(*r.QNH))
	}
	return strings.Join(says, ", ")
}
