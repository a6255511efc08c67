package api

import (
	"encoding/json"
	"net/http"

	"topnote/internal/air"
	"topnote/internal/web/fault"
)

// airBody is what is known of the air. Figures are numbers in metric units, or
// text with a unit, as `topnote air` takes them.
type airBody struct {
	Temp        figure `json:"temp"`
	RH          figure `json:"rh"`
	DewPoint    figure `json:"dew_point"`
	Altitude    figure `json:"altitude"`
	Pressure    figure `json:"pressure"`
	QNH         figure `json:"qnh"`
	Since       string `json:"since"`        // as air.ParseReading reads it; "": no second air
	FilterDrop  figure `json:"filter_drop"`  // "assumed": not measured; "": no filter
	VenturiDrop figure `json:"venturi_drop"` // "": not measured
	Units       string `json:"units"`        // of the sentences: metric, us; "": metric
}

// figure is a number or a text.
type figure string

// UnmarshalJSON reads a number, a text or null.
func (f *figure) UnmarshalJSON(b []byte) error {
	var n json.Number
	if json.Unmarshal(b, &n) == nil {
		*f = figure(n)
		return nil
	}
	return json.Unmarshal(b, (*string)(f))
}

// airAnswer is the report of the air with its sentences.
type airAnswer struct {
	air.Report
	Advice   []string `json:"advice"`
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
}

func (a *API) postAir(w http.ResponseWriter, r *http.Request) error {
	var in airBody
	if err := a.readJSON(w, r, &in); err != nil {
		return err
	}
	result, units, err := in.assess()
	if err != nil {
		return err
	}
	fault.WriteJSON(w, http.StatusOK, airAnswer{result.Report(), notNil(result.Advice()), notNil(result.Notes(units)), notNil(air.Cautions())})
	return nil
}

// notNil gives an empty list for none, so that JSON has one.
func notNil(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

// assess gives the result and the units of its sentences.
func (b airBody) assess() (air.Result, air.Units, error) {
	o := air.Default()
	units := air.Metric
	if b.Units != "" {
		var err error
		if units, err = air.ParseUnits(b.Units); err != nil {
			return air.Result{}, units, fault.Named("units", err)
		}
	}
	reading, err := b.reading()
	if err != nil {
		return air.Result{}, units, err
	}
	now, err := reading.Air(o)
	if err != nil {
		return air.Result{}, units, err
	}
	var since *air.Air
	if b.Since != "" {
		then, err := readAir(b.Since, o)
		if err != nil {
			return air.Result{}, units, fault.Named("since", err)
		}
		since = &then
	}
	filter, err := b.filter()
	if err != nil {
		return air.Result{}, units, err
	}
	result, err := air.Assess(now, since, filter, o)
	return result, units, err
}

// reading gives the figures that were entered.
func (b airBody) reading() (air.Reading, error) {
	var reading air.Reading
	for _, entered := range []struct {
		name string
		text figure
	}{
		{"temp", b.Temp}, {"rh", b.RH}, {"dew-point", b.DewPoint}, {"altitude", b.Altitude}, {"pressure", b.Pressure}, {"qnh", b.QNH},
	} {
		if entered.text == "" {
			continue
		}
		if err := reading.Set(entered.name, string(entered.text)); err != nil {
			return air.Reading{}, fault.Named(entered.name, err)
		}
	}
	return reading, nil
}

// readAir reads an air from one line of text.
func readAir(text string, o air.Options) (air.Air, error) {
	reading, err := air.ParseReading(text)
	if err != nil {
		return air.Air{}, err
	}
	return reading.Air(o)
}

// assumedDrop stands for a filter of which nothing was measured.
const assumedDrop = "assumed"

// filter gives the filter that was described, or nil.
func (b airBody) filter() (*air.Filter, error) {
	if b.FilterDrop == "" {
		if b.VenturiDrop != "" {
			return nil, venturiAlone()
		}
		return nil, nil
	}
	var f air.Filter
	if b.FilterDrop != assumedDrop {
		drop, err := air.ParsePressure(string(b.FilterDrop))
		if err != nil {
			return nil, fault.Named("filter_drop", err)
		}
		f.Drop = &drop
	}
	if b.VenturiDrop != "" {
		venturi, err := air.ParsePressure(string(b.VenturiDrop))
		if err != nil {
			return nil, fault.Named("venturi_drop", err)
		}
		f.Venturi = &venturi
	}
	return &f, nil
}
