package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strconv"
	"sync"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/measure"
	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/unit"
)

// books is the book, opened when it is first wanted and made when the first
// machine is entered.
type books struct {
	path string
	mu   sync.Mutex
	open *book.Book
}

// read gives the book that is there; a *book.Problem where there is none.
func (b *books) read() (*book.Book, error) { return b.with(book.Open) }

// write gives the book, and makes it where there is none.
func (b *books) write() (*book.Book, error) { return b.with(book.Create) }

func (b *books) with(open func(string) (*book.Book, error)) (*book.Book, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.open != nil {
		return b.open, nil
	}
	opened, err := open(b.path)
	if err == nil {
		b.open = opened
	}
	return opened, err
}

func (b *books) close() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.open == nil {
		return nil
	}
	return b.open.Close()
}

func (s *Server) bookRoutes() []route {
	return []route{
		{"GET", "/machines", s.getMachines},
		{"POST", "/machines", s.postMachine},
		{"GET", "/machines/{name}", s.getMachine},
		{"PUT", "/machines/{name}", s.putMachine},
		{"GET", "/machines/{name}/passes", s.getPasses},
		{"POST", "/machines/{name}/passes", s.postPass},
		{"GET", "/machines/{name}/passes/{number}", s.getPass},
		{"GET", "/machines/{name}/trend", s.getTrend(typeJSON, func(w io.Writer, t book.Trend) error { return t.WriteJSON(w) })},
		{"GET", "/machines/{name}/trend.csv", s.getTrend(typeCSV, func(w io.Writer, t book.Trend) error { return t.WriteCSV(w) })},
		{"GET", "/machines/{name}/trend.svg", s.getTrend(typeSVG, drawTrend(picture.SVG))},
		{"GET", "/machines/{name}/trend.png", s.getTrend(typePNG, drawTrend(picture.PNG))},
		{"GET", "/machines/{name}/why", s.getWhy},
	}
}

// machines gives the machines of the book; none where there is no book yet.
func (s *Server) machines() ([]book.Machine, error) {
	b, err := s.books.read()
	if errors.Is(err, book.ErrNoBook) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return b.Machines()
}

// machine gives the machine of a name.
func (s *Server) machine(name string) (book.Machine, error) {
	b, err := s.books.read()
	if err != nil {
		return book.Machine{}, err
	}
	return b.Machine(name)
}

// passes gives a machine with its passes, in the order of their days.
func (s *Server) passes(name string) (book.Machine, []book.Pass, error) {
	b, err := s.books.read()
	if err != nil {
		return book.Machine{}, nil, err
	}
	m, err := b.Machine(name)
	if err != nil {
		return book.Machine{}, nil, err
	}
	passes, err := b.Passes(m.Name)
	return m, passes, err
}

// enterMachine enters a machine, and makes the book for it where there is none.
func (s *Server) enterMachine(m book.Machine) (book.Machine, error) {
	if m.Engine == (report.Engine{}) {
		m.Engine = report.Engine(unit.TwoStrokeSingle)
	}
	if err := measure.Check(machineQuery(m)); err != nil {
		return m, err
	}
	if err := m.Check(); err != nil {
		return m, err
	}
	b, err := s.books.write()
	if err != nil {
		return m, err
	}
	return m, b.AddMachine(m)
}

// machinesBody is a list of machines as JSON.
type machinesBody struct {
	Machines []book.Machine `json:"machines"`
}

func (s *Server) getMachines(w http.ResponseWriter, _ *http.Request) error {
	machines, err := s.machines()
	if err != nil {
		return err
	}
	if machines == nil {
		machines = []book.Machine{}
	}
	writeJSON(w, http.StatusOK, machinesBody{machines})
	return nil
}

func (s *Server) postMachine(w http.ResponseWriter, r *http.Request) error {
	var m book.Machine
	if err := s.readJSON(w, r, &m); err != nil {
		return err
	}
	m, err := s.enterMachine(m)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusCreated, m)
	return nil
}

// machineBody is a machine with its edits as JSON.
type machineBody struct {
	book.Machine
	Edits []book.Edit `json:"edits"`
}

func (s *Server) getMachine(w http.ResponseWriter, r *http.Request) error {
	b, err := s.books.read()
	if err != nil {
		return err
	}
	m, err := b.Machine(r.PathValue("name"))
	if err != nil {
		return err
	}
	edits, err := b.History(m.Name)
	if err != nil {
		return err
	}
	if edits == nil {
		edits = []book.Edit{}
	}
	writeJSON(w, http.StatusOK, machineBody{m, edits})
	return nil
}

// editBody is a machine as it shall be from now on.
type editBody struct {
	book.Machine
	Who string `json:"who"`
}

func (s *Server) putMachine(w http.ResponseWriter, r *http.Request) error {
	var in editBody
	if err := s.readJSON(w, r, &in); err != nil {
		return err
	}
	after := in.Machine
	if err := measure.Check(machineQuery(after)); err != nil {
		return err
	}
	b, err := s.books.read()
	if err != nil {
		return err
	}
	err = b.EditMachine(r.PathValue("name"), in.Who, func(book.Machine) (book.Machine, error) { return after, nil })
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, after)
	return nil
}

// passesBody is a list of passes as JSON, each as an export of the book has it
// without its track.
type passesBody struct {
	Machine book.Machine      `json:"machine"`
	Passes  []json.RawMessage `json:"passes"`
}

func (s *Server) getPasses(w http.ResponseWriter, r *http.Request) error {
	m, passes, err := s.passes(r.PathValue("name"))
	if err != nil {
		return err
	}
	body := passesBody{Machine: m, Passes: []json.RawMessage{}}
	for _, p := range passes {
		text, err := p.JSON()
		if err != nil {
			return err
		}
		body.Passes = append(body.Passes, text)
	}
	writeJSON(w, http.StatusOK, body)
	return nil
}

func (s *Server) getPass(w http.ResponseWriter, r *http.Request) error {
	number, err := strconv.ParseInt(r.PathValue("number"), 10, 64)
	if err != nil {
		return faultOtherMachine()
	}
	b, err := s.books.read()
	if err != nil {
		return err
	}
	m, err := b.Machine(r.PathValue("name"))
	if err != nil {
		return err
	}
	p, err := b.Pass(number)
	if err != nil {
		return err
	}
	if p.Machine != m.Name {
		return faultOtherMachine()
	}
	text, err := p.JSON()
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, json.RawMessage(text))
	return nil
}

// passBody is a measured clip that is to be stored, with what is known of the
// day. All but Clip may be left out.
type passBody struct {
	Clip       string     `json:"clip"` // its id
	Recorded   *time.Time `json:"recorded"`
	Air        string     `json:"air"` // as air.ParseReading reads it
	Screws     screwsBody `json:"screws"`
	FilterNote string     `json:"filter_note"`
	FuelNote   string     `json:"fuel_note"`
	Who        string     `json:"who"`
	Again      bool       `json:"again"` // though the machine has this recording already
}

// screwsBody are settings in turns, numbers or as people write them: "1 1/4".
type screwsBody struct {
	H    figure `json:"h_turns"`
	L    figure `json:"l_turns"`
	Idle figure `json:"idle_turns"`
}

// storedBody says what a pass was stored as.
type storedBody struct {
	Number  int64  `json:"number"`
	Machine string `json:"machine"`
}

func (s *Server) postPass(w http.ResponseWriter, r *http.Request) error {
	var in passBody
	if err := s.readJSON(w, r, &in); err != nil {
		return err
	}
	done, err := s.storePass(r.PathValue("name"), in)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusCreated, done)
	return nil
}

// storePass writes a measured clip into the book as a pass of a machine.
func (s *Server) storePass(machine string, in passBody) (storedBody, error) {
	j, err := s.result(in.Clip)
	if err != nil {
		return storedBody{}, err
	}
	if j.Result.Report.TopEnd == nil && j.Result.Report.Idle == nil {
		return storedBody{}, faultNothingToStore()
	}
	p := book.Pass{
		Machine: machine, Recorded: time.Now(), Report: j.Result.Report,
		FilterNote: in.FilterNote, FuelNote: in.FuelNote, Who: in.Who,
	}
	if in.Recorded != nil {
		p.Recorded = *in.Recorded
	}
	if in.Air != "" {
		a, err := readAir(in.Air, air.Default())
		if err != nil {
			return storedBody{}, named("air", err)
		}
		p.Air = &a.From
	}
	if p.Screws, err = in.Screws.read(); err != nil {
		return storedBody{}, err
	}
	b, err := s.books.read()
	if err != nil {
		return storedBody{}, err
	}
	m, err := b.Machine(machine)
	if err != nil {
		return storedBody{}, err
	}
	p.Machine = m.Name
	number, err := b.AddPass(p, in.Again)
	return storedBody{number, m.Name}, err
}

// read reads the settings that were given.
func (b screwsBody) read() (book.Screws, error) {
	var screws book.Screws
	for _, one := range []struct {
		name string
		text figure
		to   **book.Turns
	}{{"h_turns", b.H, &screws.H}, {"l_turns", b.L, &screws.L}, {"idle_turns", b.Idle, &screws.Idle}} {
		if one.text == "" {
			continue
		}
		t, err := book.ParseTurns(string(one.text))
		if err != nil {
			return screws, named(one.name, err)
		}
		*one.to = &t
	}
	return screws, nil
}

// getTrend answers with the trend of a machine in one form.
func (s *Server) getTrend(kind string, write func(io.Writer, book.Trend) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		m, passes, err := s.passes(r.PathValue("name"))
		if err != nil {
			return err
		}
		return s.drawing(w, r, kind, func(w io.Writer) error {
			return write(w, book.NewTrend(m, passes, book.Default()))
		})
	}
}

func drawTrend(f picture.Format) func(io.Writer, book.Trend) error {
	return func(w io.Writer, t book.Trend) error {
		return picture.DrawTrend(w, f, picture.TrendSize, trendPicture(t))
	}
}

// trendPicture gives a trend in the form that is drawn.
func trendPicture(t book.Trend) picture.Trend {
	p := picture.Trend{Name: t.Machine.Name, Limits: t.Machine.Limits}
	for _, point := range t.Passes {
		p.Passes = append(p.Passes, picture.TrendPass{
			Number: point.Number, At: point.Recorded, Top: point.SustainedRPM, TopSD: point.SDRPM,
			Corrected: point.CorrectedRPM, CorrectedSD: point.CorrectedSDRPM,
			FourStroking: point.FourStroking, Idle: point.IdleRPM, IdleSD: point.IdleSDRPM,
		})
	}
	return p
}

// getWhy explains a pass against one before it: ?to= the pass, ?from= the one
// before; without, the last and the one before that.
func (s *Server) getWhy(w http.ResponseWriter, r *http.Request) error {
	to, err := passNumber(r, "to")
	if err != nil {
		return err
	}
	from, err := passNumber(r, "from")
	if err != nil {
		return err
	}
	e, err := s.why(r.PathValue("name"), from, to)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := e.WriteJSON(&b); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, json.RawMessage(b.Bytes()))
	return nil
}

// why explains pass to against pass from; 0 is the last, or the one before.
func (s *Server) why(machine string, from, to int64) (book.Explanation, error) {
	_, passes, err := s.passes(machine)
	if err != nil {
		return book.Explanation{}, err
	}
	if to == 0 {
		for _, p := range passes {
			if p.ReplacedBy == 0 {
				to = p.Number
			}
		}
	}
	if to == 0 {
		return book.Explanation{}, faultOtherMachine()
	}
	return book.Why(passes, to, from, book.Default())
}

// passNumber reads the number of a pass from the query; 0 where none is given.
func passNumber(r *http.Request, name string) (int64, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, faultQuery(name)
	}
	return n, nil
}
