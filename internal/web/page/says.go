package page

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/report"
	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// The sentences of the pages beside those of their templates and the results.

// The places.
const (
	placeNew     = "Pass"
	placeCompare = "Compare"
	placeBook    = "Book"
	placeAir     = "Air"
)

const (
	headNew     = "A new pass"
	headLive    = "While it runs"
	headSheet   = "On paper"
	headBlank   = "Record sheet"
	headCompare = "Two passes side by side"
	headBook    = "The book"
	headAir     = "The air today"
	headWhy     = "What changed?"
	headFailed  = "That did not work"
	headUnread  = "Not measured"
	headDay     = "The day"
	headSides   = "The two passes"
	headParts   = "What changed the top speed"
	headFigures = "The figures"
	headTrend   = "Pass by pass"
	goNew       = "Record a new pass"
	goAgain     = "Try another recording"

	saysCare       = "Ear and eye protection on, nobody near, the handbook first."
	saysGreeting   = "Hello,"
	saysAboutClip  = "About your recording %s of %s:"
	saysFirstStep  = "Do this first:"
	saysFaults     = "Problems with your recording:"
	saidMachine    = "Machine added."
	saidChanged    = "Saved. The book keeps the earlier figures as well."
	saidForgotten  = "The recording is deleted. The pass stays in the book."
	saysWithSound  = "with its recording, %s"
	saysNotAligned = "The opening of the throttle was not heard in both, so both start together."
)

// The reply.
const (
	saysAboutMachine = "About %s, your recording %s of %s:"
	saysShortTop     = " Top speed %s %s: %s."
	saysRecordAgain  = "Please record again like this: lay or mount the phone 2 to 4 m to the side of the machine, out of the exhaust stream and the wind. " +
		"Let it idle for 3 s, then full throttle without load for 3 s, let go at once, and let it idle for 3 s."
)

// The downloads of a result.
const (
	fileReport   = "Report (page)"
	fileCSV      = "Table (CSV)"
	fileCaptions = "Captions (VTT)"
	filePNG      = "Picture (PNG)"
	fileSVG      = "Picture (SVG)"
	fileJSON     = "All data (JSON)"
)

// saysState says how far a clip is.
func saysState(j jobs.Job) string {
	switch {
	case j.State == jobs.Running:
		return "Measuring."
	case j.Position > 1:
		return fmt.Sprintf("Waiting: %d before it.", j.Position-1)
	default:
		return "Waiting: it is next."
	}
}

func saysFrom(j jobs.Job) string {
	if j.Machine != "" {
		return fmt.Sprintf("%s, measured for %s", j.Name, report.Printable(j.Machine))
	}
	return j.Name
}

// saysRecent names a measured clip in a list.
func saysRecent(j jobs.Job) string {
	says := j.Name
	if j.Machine != "" {
		says += ", " + j.Machine
	}
	return fmt.Sprintf("%s, %s: %s", says, j.Made.Format("15:04"), j.Result.Report.Verdict.Headline())
}

// saysStored says what a pass became; same says that it was measured with the
// figures that the machine has in the book.
func saysStored(number int64, machine string, same bool) string {
	says := fmt.Sprintf("Saved to the book: pass %d of %s.", number, report.Printable(machine))
	if !same {
		says += " It was judged by other figures than this machine has in the book. Choose the machine and measure it again to judge it by those."
	}
	return says
}

func saysPassOf(number int64, machine string) string {
	return fmt.Sprintf("Pass %d of %s", number, report.Printable(machine))
}

// saysSince says which air the one of now is compared with.
func saysSince(p book.Pass, u air.Units) string {
	return fmt.Sprintf("Pass %d, %s: %s.", p.Number, saysDay(p.Recorded), p.Air.Text(u))
}

func saysMachine(m book.Machine) string {
	strokes := "two-stroke"
	if m.Engine.Strokes == 4 {
		strokes = "four-stroke"
	}
	says := []string{strokes}
	if m.Engine.Cylinders != 1 {
		says = append(says, fmt.Sprintf("%d cylinders", m.Engine.Cylinders))
	}
	if known := report.SaysBuild(m.Engine); known != "" {
		says = append(says, known)
	}
	for _, one := range []struct {
		name  string
		speed report.Speed
	}{{"limit", m.Limits.MaxRPM}, {"idle", m.Limits.IdleRPM}, {"clutch", m.Limits.ClutchRPM}} {
		if one.speed.Told() {
			says = append(says, fmt.Sprintf("%s %s rpm", one.name, one.speed))
		} else if one.name == "limit" {
			says = append(says, "no limit entered")
		}
	}
	return strings.Join(says, ", ")
}

func saysDay(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }

// saysPass gives a pass of the book in short.
func saysPass(p book.Pass) string {
	says := p.Report.Verdict.Headline()
	if top := p.Report.TopEnd; top != nil {
		says += fmt.Sprintf(", held %s rpm", top.SustainedRPM.Reading())
	}
	if s := p.Screws.String(); s != "" {
		says += "; " + s
	}
	if p.ReplacedBy != 0 {
		says += fmt.Sprintf("; entered once more as pass %d", p.ReplacedBy)
	}
	return says
}

func noMachine() *fault.Fault {
	return fault.Entry("no machine was chosen", "choose one from the book")
}

func onePass() *fault.Fault {
	return fault.Entry("one of the two passes is missing", "choose both, or measure another one first")
}

func noPage() *fault.Fault {
	return &fault.Fault{Status: http.StatusNotFound, Code: fault.CodeAddress, Says: "there is no page at this address", Do: "begin with a new pass"}
}

func noAir(machine string) *fault.Fault {
	return &fault.Fault{Status: http.StatusNotFound, Code: fault.CodeUnknown,
		Says: fmt.Sprintf("no pass of %s has its air noted", report.Printable(machine)), Do: "enter the air of that day yourself"}
}

func noBookChosen() *fault.Fault {
	return fault.Entry("no book was chosen", "choose the file that was taken along from the other device")
}

// saysBrought tells what was added to the book, by the address of the page; "" where
// nothing was.
func saysBrought(v url.Values) string {
	count := func(name string) int {
		n, _ := strconv.Atoi(v.Get(name)) // 0 for anything else
		return n
	}
	if !v.Has("passes") {
		return ""
	}
	says := fmt.Sprintf("Added: %s and %s. In the book already: %s.",
		plural(count("machines"), "machine"), plural(count("passes"), "pass"), plural(count("present"), "pass"))
	if n := count("recordings"); n > 0 {
		says += fmt.Sprintf(" Recordings added to their passes: %d.", n)
	}
	if n := count("without"); n > 0 {
		says += fmt.Sprintf(" Recordings that the text does not carry: %d; bring the book itself for them.", n)
	}
	return says
}

// saysCarried tells which recordings the two ways of taking the book along have; ""
// where it keeps none.
func saysCarried(c book.Carried) string {
	switch {
	case c.LeftOut > 0:
		return fmt.Sprintf("The book has all recordings that it keeps, %d. The text carries %d of them, since more than %d MB would be too large.",
			c.Recordings+c.LeftOut, c.Recordings, book.MaxCarried/1_000_000)
	case c.Recordings > 0:
		return fmt.Sprintf("Both have the recordings that the book keeps: %d.", c.Recordings)
	}
	return ""
}

func plural(n int, what string) string {
	switch {
	case n == 1:
		return "1 " + what
	case what == "pass":
		return strconv.Itoa(n) + " passes"
	}
	return strconv.Itoa(n) + " " + what + "s"
}
