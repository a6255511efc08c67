package web

import (
	"fmt"
	"html/template"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"

	"topnote/internal/report"
)

// resultPage is the page of a measured pass, of one just recorded or of one in
// the book. What it lacks is not shown.
type resultPage struct {
	pageFrame
	Report    report.Report
	View      report.View
	From      string // where it comes from, in words
	Scale     *scale
	Trace     trace
	Sound     string // its address
	Picture   template.HTML
	Reply     string
	Downloads []download
	Day       report.Table // what was noted of the day

	// Of a pass just recorded:
	ID         string
	Again      string // address of the next pass with the same figures
	Figures    figureFields
	CanStore   bool
	NoMachines bool
	Entered    bool // the form for the book was sent and refused
	Machine    string
	Machines   []figureFields
	Air        airFields
	Values     map[string]string // of the screws and notes
}

// download is a form of the result that can be saved.
type download struct{ Path, File, Name string }

// waitPage is the page of a clip that is not measured yet.
type waitPage struct {
	pageFrame
	ID, Name, Says string
	Progress       float64
}

// showClip shows a clip as far as it is: waiting, refused or measured.
func (s *Server) showClip(w http.ResponseWriter, r *http.Request) error {
	j, ok := s.desk.get(r.PathValue("id"))
	if !ok {
		return faultNoJob()
	}
	switch j.State {
	case Done:
		return s.showResult(w, r, j, nil)
	case Failed:
		p := failedPage{newPageFrame("/", headUnread, ""), headUnread + ": " + j.Name, j.Problem.sentence(), "/?" + queryValues(j.Query, j.Machine).Encode(), goAgain}
		return render(w, j.Problem.status, "failed.html", p)
	default:
		p := waitPage{newPageFrame("/", placeNew, "wait.js"), j.ID, j.Name, saysState(j), j.Progress}
		p.Refresh = true
		return render(w, http.StatusOK, "wait.html", p)
	}
}

// showResult shows a measured clip; refused is what was wrong with what was
// entered for the book, nil for nothing.
func (s *Server) showResult(w http.ResponseWriter, r *http.Request, j Job, refused error) error {
	machines, err := s.machineFields()
	if err != nil && refused == nil {
		refused = err
	}
	picture, err := s.inline(r, j.Result.Inline)
	if err != nil {
		return err
	}
	api := apiRoot + "/clips/" + j.ID
	query := queryValues(j.Query, j.Machine)
	p := resultPage{
		pageFrame: newPageFrame("/", j.Result.Report.Verdict.Headline()+": "+j.Name, "result.js"),
		Report:    j.Result.Report, View: report.NewView(j.Result.Report), From: saysFrom(j),
		Scale: newScale(j.Result.Report), Trace: newTrace(j.Name, j.Result.Report, nil),
		Sound: api + "/audio", Picture: picture, Reply: j.Result.Reply, Downloads: downloadsOf(j),
		ID: j.ID, Again: "/?" + query.Encode(), Figures: typedFields(query), Machines: machines,
		CanStore: len(machines) > 0, NoMachines: len(machines) == 0,
	}
	p.fill(r, j)
	status := s.refused(&p.pageFrame, refused)
	return render(w, status, "result.html", p)
}

// fill puts into the form for the book what was sent with the request.
func (p *resultPage) fill(r *http.Request, j Job) {
	value := func(id string) string { return r.PostForm.Get(id) }
	p.Air = newAirFields("", unitsOf(r), value)
	p.Values = map[string]string{}
	for _, name := range []string{"h", "l", "idle_screw", "filter_note", "fuel_note", "who"} {
		p.Values[name] = value(name)
	}
	p.Machine = j.Machine
	if p.Entered = r.Method == http.MethodPost; p.Entered {
		p.Machine = value(fieldMachine)
	}
}

// downloadsOf gives the forms of a result that can be saved.
func downloadsOf(j Job) []download {
	name := strings.TrimSuffix(j.Name, filepath.Ext(j.Name))
	var list []download
	for _, f := range []struct{ ending, says string }{
		{".html", fileReport}, {".csv", fileCSV}, {".vtt", fileCaptions}, {".png", filePNG}, {".svg", fileSVG}, {".json", fileJSON},
	} {
		list = append(list, download{fmt.Sprintf("%s/clips/%s/report%s?download=1", apiRoot, j.ID, f.ending), name + f.ending, f.says})
	}
	return list
}

// storeClip writes a measured clip into the book with what was entered.
func (s *Server) storeClip(w http.ResponseWriter, r *http.Request) error {
	j, err := s.result(r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := s.readEntries(w, r); err != nil {
		return err
	}
	stored, err := s.storeEntries(r, j)
	if err != nil {
		return s.showResult(w, r, j, err)
	}
	keepUnits(w, unitsOf(r))
	http.Redirect(w, r, pathTo("book", stored.Machine)+"?stored="+strconv.FormatInt(stored.Number, 10), http.StatusSeeOther)
	return nil
}

func (s *Server) storeEntries(r *http.Request, j Job) (storedBody, error) {
	value := r.PostForm.Get
	if value(fieldMachine) == "" {
		return storedBody{}, faultNoMachine()
	}
	text, err := airText(r, unitsOf(r))
	if err != nil {
		return storedBody{}, err
	}
	recorded := j.Made
	return s.storePass(value(fieldMachine), passBody{
		Clip: j.ID, Recorded: &recorded, Air: text,
		Screws:     screwsBody{H: figure(value("h")), L: figure(value("l")), Idle: figure(value("idle_screw"))},
		FilterNote: value("filter_note"), FuelNote: value("fuel_note"), Who: value("who"),
	})
}
