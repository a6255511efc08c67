package page

import (
	"html/template"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/report"
	"topnote/internal/web/books"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// resultPage is the page of a measured pass, of one just recorded or of one in
// the book. What it lacks is not shown.
type resultPage struct {
	frame
	CareLine  string // the cautions in a line
	Report    report.Report
	View      report.View
	From      string // where it comes from, in words
	Scale     *scale
	Trace     trace
	Sound     string // its address
	Picture   template.HTML
	Reply     reply
	Predict   bool // the verdict is hidden until it is revealed
	Downloads []download
	Day       report.Table // what was noted of the day
	Again     string       // address of the next pass with the same figures
	Back      string       // address of the machine, of a pass of the book
	Kept      *keptSound   // of a pass of the book
	Why       string       // address of what changed since the pass before
	Sheet     string       // address of the pass on paper

	// Of a pass just recorded:
	ID         string
	Figures    figureFields
	CanStore   bool
	NoMachines bool
	Question   *question // nil: none
	Entered    bool      // the form for the book was sent and refused
	Machine    string
	Machines   []figureFields
	Air        airFields
	Values     map[string]string // of the screws and notes
	Size       string            // of the recording, which the book can keep
}

// download is a form of the result that can be saved.
type download struct{ Path, File, Name string }

// waitPage is the page of a clip that is not measured yet.
type waitPage struct {
	frame
	ID, Name, Says string
	Progress       float64
}

// showClip shows a clip as far as it is: waiting, refused or measured.
func (p *Pages) showClip(w http.ResponseWriter, r *http.Request) error {
	j, ok := p.Queue.Get(r.PathValue("id"))
	if !ok {
		return fault.NoJob()
	}
	switch j.State {
	case jobs.Done:
		return p.showResult(w, r, j, nil)
	case jobs.Failed:
		page := failedPage{newFrame("/", headUnread, ""), headUnread + ": " + j.Name, j.Problem.Sentence(), "/?" + queryValues(j.Query, j.Machine).Encode(), goAgain}
		return render(w, j.Problem.Status, "failed.html", page)
	default:
		page := waitPage{newFrame("/", placeNew, "wait.js"), j.ID, j.Name, saysState(j), j.Progress}
		page.Refresh = true
		return render(w, http.StatusOK, "wait.html", page)
	}
}

// showResult shows a measured clip; refused is what was wrong with what was
// entered for the book, nil for nothing.
func (p *Pages) showResult(w http.ResponseWriter, r *http.Request, j jobs.Job, refused error) error {
	machines, err := p.machineFields()
	if err != nil && refused == nil {
		refused = err
	}
	picture, err := p.inline(r, j.Result.Inline)
	if err != nil {
		return err
	}
	query := queryValues(j.Query, j.Machine)
	page := resultPage{
		CareLine: saysCare,
		frame:    newFrame("/", j.Result.Report.Verdict.Headline()+": "+j.Name, "result.js"),
		Report:   j.Result.Report, View: report.NewView(j.Result.Report), From: saysFrom(j),
		Scale: newScale(j.Result.Report), Trace: newTrace(j.Name, j.Result.Report, nil),
		Sound: j.Address() + "/audio", Picture: picture, Reply: replyTo(j), Downloads: downloadsOf(j),
		ID: j.ID, Again: "/?" + nextPass(query).Encode(), Figures: typedFields(query), Machines: machines,
		CanStore: len(machines) > 0, NoMachines: len(machines) == 0,
		Question: questionOf(j.Result.Report.Verdict.Asks, query),
	}
	if page.Predict = r.FormValue("predict") != ""; page.Predict {
		page.Title = j.Name // and not the verdict
	}
	p.fill(&page, r, j)
	status := p.setProblem(&page.frame, refused)
	return render(w, status, "result.html", page)
}

// fill puts into the form for the book what was sent with the request.
func (p *Pages) fill(page *resultPage, r *http.Request, j jobs.Job) {
	value := func(id string) string { return r.PostForm.Get(id) }
	page.Air = newAirFields("", unitsOf(r), value)
	page.Values, page.Size = map[string]string{}, p.sizeOf(j.ID)
	for _, name := range []string{"h", "l", "idle_screw", "filter_note", "fuel_note", "who", "tachometer", jobs.FieldRecorded} {
		page.Values[name] = value(name)
	}
	page.Machine = j.Machine
	if page.Entered = r.Method == http.MethodPost; page.Entered {
		page.Machine = value(jobs.FieldMachine)
	}
}

// downloadsOf gives the forms of a result that can be saved.
func downloadsOf(j jobs.Job) []download {
	name := strings.TrimSuffix(j.Name, filepath.Ext(j.Name))
	var list []download
	for _, f := range []struct{ ending, says string }{
		{".html", fileReport}, {".csv", fileCSV}, {".vtt", fileCaptions}, {".png", filePNG}, {".svg", fileSVG}, {".json", fileJSON},
	} {
		list = append(list, download{j.Address() + "/report" + f.ending + "?download=1", name + f.ending, f.says})
	}
	return list
}

// storeClip writes a measured clip into the book with what was entered.
func (p *Pages) storeClip(w http.ResponseWriter, r *http.Request) error {
	j, err := p.Queue.Result(r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := p.readEntries(w, r); err != nil {
		return err
	}
	stored, err := p.storeEntries(r, j)
	if err != nil {
		return p.showResult(w, r, j, err)
	}
	if r.PostForm.Get("keep") != "" {
		if err := p.keepClip(j.ID, stored.Number); err != nil {
			return err
		}
	}
	keepUnits(w, unitsOf(r))
	http.Redirect(w, r, pathTo("book", stored.Machine)+"?stored="+strconv.FormatInt(stored.Number, 10), http.StatusSeeOther)
	return nil
}

func (p *Pages) storeEntries(r *http.Request, j jobs.Job) (books.Stored, error) {
	value := r.PostForm.Get
	if value(jobs.FieldMachine) == "" {
		return books.Stored{}, noMachine()
	}
	reading, err := readingFrom(r, "", unitsOf(r))
	if err != nil {
		return books.Stored{}, err
	}
	recorded, err := jobs.ParseRecorded(value(jobs.FieldRecorded), j.Recorded)
	if err != nil {
		return books.Stored{}, err
	}
	screws, err := books.ParseScrews(value("h"), value("l"), value("idle_screw"))
	if err != nil {
		return books.Stored{}, err
	}
	var tachometer engine.RPM
	if text := value("tachometer"); text != "" {
		if tachometer, err = entry.ParseSpeed(text); err != nil {
			return books.Stored{}, fault.Named("tachometer", err)
		}
	}
	return p.Books.AddPass(value(jobs.FieldMachine), j.Result.Report, books.Entry{
		Recorded: recorded, Air: reading, Screws: screws, FilterNote: value("filter_note"), FuelNote: value("fuel_note"), Who: value("who"),
		Tachometer: report.Speed(tachometer),
	})
}
