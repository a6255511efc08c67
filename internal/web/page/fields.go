package page

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// figureFields are the fields of an engine and its speeds, as a form shows them.
type figureFields struct {
	Limit, Idle, Clutch, Cylinders string
	Strokes                        int
	Open                           bool   // those beside the limit are shown at once
	Name, Notes                    string // of a machine
	Known                          []knownField
	State                          []knownField      // of one pass
	Data                           map[string]string // what is known, by the keys of engine.Fields
}

func fieldsOf(m book.Machine) figureFields {
	f := typedFields(queryValues(report.Query(m.Engine, m.Limits), ""))
	f.Name, f.Notes = m.Name, m.Notes
	return f
}

// typedFields gives the fields as they were sent, right or wrong.
func typedFields(v url.Values) figureFields {
	f := figureFields{
		Limit: v.Get(jobs.FieldLimit), Idle: v.Get(jobs.FieldIdle), Clutch: v.Get(jobs.FieldClutch), Cylinders: v.Get(jobs.FieldCylinders),
		Strokes: 2, Name: v.Get(jobs.FieldName), Notes: v.Get("notes"),
	}
	if v.Get(jobs.FieldStrokes) == "4" {
		f.Strokes = 4
	}
	if f.Cylinders == "" {
		f.Cylinders = "1"
	}
	f.Open = f.Idle+f.Clutch != "" || f.Strokes != 2 || f.Cylinders != "1"
	f.Known, f.State = knownFields(false, v.Get), knownFields(true, v.Get)
	f.Data = map[string]string{}
	for _, k := range f.Known {
		f.Data[k.ID] = k.Value
	}
	return f
}

// entered gives a speed as it is typed in; nothing for none.
func entered(s report.Speed) string {
	if !s.Told() {
		return ""
	}
	return s.String()
}

// queryValues gives what a clip was measured with as the fields of a form.
func queryValues(q engine.Machine, machine string) url.Values {
	q = q.Entered()
	v := url.Values{
		jobs.FieldStrokes: {strconv.Itoa(q.Spec.Strokes)}, jobs.FieldCylinders: {strconv.Itoa(q.Spec.Cylinders)},
	}
	for name, text := range map[string]string{
		jobs.FieldMachine: machine,
		jobs.FieldLimit:   entered(report.Speed(q.Limits.Max)),
		jobs.FieldIdle:    entered(report.Speed(q.Limits.Idle)),
		jobs.FieldClutch:  entered(report.Speed(q.Limits.Clutch)),
	} {
		if text != "" {
			v.Set(name, text)
		}
	}
	for _, f := range engine.Fields {
		if text := f.Get(q); text != "" {
			v.Set(f.Key(), text)
		}
	}
	return v
}

// machineFrom reads a machine from the fields of a form.
func (p *Pages) machineFrom(v url.Values) (book.Machine, error) {
	fields := map[string]string{}
	for _, name := range jobs.EngineFields() {
		fields[name] = strings.TrimSpace(v.Get(name))
	}
	q, _, err := p.Intake.Query(fields)
	if err != nil {
		return book.Machine{}, err
	}
	m := book.Machine{Name: strings.TrimSpace(v.Get(jobs.FieldName)), Notes: strings.TrimSpace(v.Get("notes"))}
	m.Engine, m.Limits = report.Entries(q)
	return m, nil
}

// machineFields gives the machines of the book for a list to choose from.
func (p *Pages) machineFields() ([]figureFields, error) {
	machines, err := p.Books.Machines()
	var list []figureFields
	for _, m := range machines {
		list = append(list, fieldsOf(m))
	}
	return list, err
}

// airFields are the fields of an air.
type airFields struct {
	US     bool
	Fields []airField
}

// airField is one of them. Kind is the quantity that scripts convert; "" for one
// that has the same unit everywhere.
type airField struct {
	ID, Label, Kind, Metric, US, Value string
	Signed                             bool // keyboards for numbers lack the minus
}

// The suffixes are how package air writes the units in what it reads.
var airKinds = []struct {
	name, label, kind, metric, us, suffix string
	signed                                bool
}{
	{"temp", "Temperature", "temp", "°C", "°F", "F", true},
	{"rh", "Humidity", "", "%", "%", "", false},
	{"dew-point", "or dew point", "temp", "°C", "°F", "F", true},
	{"altitude", "Height above the sea", "height", "m", "ft", "ft", true},
	{"pressure", "or pressure here", "pressure", "hPa", "inHg", "inHg", false},
	{"qnh", "Pressure at sea level", "pressure", "hPa", "inHg", "inHg", false},
}

// fieldID gives the name of a figure of an air in a form.
func fieldID(prefix, name string) string { return prefix + strings.ReplaceAll(name, "-", "_") }

// newAirFields makes the fields of an air; value gives the content of the field of
// an ID.
func newAirFields(prefix string, u air.Units, value func(id string) string) airFields {
	f := airFields{US: u == air.US}
	for _, k := range airKinds {
		id := fieldID(prefix, k.name)
		f.Fields = append(f.Fields, airField{ID: id, Label: k.label, Kind: k.kind, Metric: k.metric, US: k.us, Value: value(id), Signed: k.signed})
	}
	return f
}

// readingFrom reads an air from the fields of a form; nil where nothing was
// entered. Bare numbers are in the units u.
func readingFrom(r *http.Request, prefix string, u air.Units) (*air.Reading, error) {
	var reading air.Reading
	some := false
	for _, k := range airKinds {
		text := strings.TrimSpace(r.FormValue(fieldID(prefix, k.name)))
		if text == "" {
			continue
		}
		some = true
		if _, err := strconv.ParseFloat(text, 64); err == nil && u == air.US {
			text += k.suffix
		}
		if err := reading.Set(k.name, text); err != nil {
			return nil, fault.Named(k.label, err)
		}
	}
	if !some {
		return nil, nil
	}
	if _, err := reading.Air(air.Default()); err != nil {
		return nil, err
	}
	return &reading, nil
}
