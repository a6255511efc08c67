package report

import (
	"bufio"
	"embed"
	"fmt"
	"html/template"
	"io"
	"path/filepath"
	"sync"
)

//go:embed page/*.tmpl page/style.css
var pageFiles embed.FS

// pages parses the templates on first use.
var pages = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").ParseFS(pageFiles, "page/*.tmpl"))
})

// WriteHTML writes r as one self-contained page of HTML: no script, no font, no other
// file. picture is the pass as an SVG element from picture.Inline, or nothing. Text
// from files is escaped, and the page's content policy lets it load and run nothing.
// It returns the first error of w.
func WriteHTML(w io.Writer, r Report, picture []byte) error {
	v := NewView(r)
	return writePage(w, "pass.tmpl", passPage{
		frame:    newFrame(v.File+": "+v.Headline, picture),
		View:     v,
		Report:   r,
		Findings: r.Verdict.Findings,
		Problems: saysProblems(r.Quality.Problems),
	})
}

// WriteComparisonHTML writes c as one page, as WriteHTML does one pass.
func WriteComparisonHTML(w io.Writer, c Comparison, picture []byte) error {
	v := NewComparisonView(c)
	page := comparisonPage{
		frame:          newFrame(v.Headline, picture),
		ComparisonView: v,
		Comparison:     c,
		Problems:       problemsOf(c.Passes),
	}
	for i, p := range c.Passes {
		v := p.Report.Verdict
		page.Briefs = append(page.Briefs, passBrief{saysPlace(i+1, p.Report.Clip), v.Says, saysFindings(v.Findings), v.Advice})
	}
	if len(c.Passes) > 0 {
		page.Cautions = c.Passes[0].Report.Verdict.Cautions
	}
	return writePage(w, "comparison.tmpl", page)
}

func writePage(w io.Writer, name string, data any) error {
	out := bufio.NewWriter(w)
	if err := pages().ExecuteTemplate(out, name, data); err != nil {
		return fmt.Errorf("report: writing HTML: %w", err)
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("report: writing HTML: %w", err)
	}
	return nil
}

// frame holds what every page has.
type frame struct {
	Title   string
	Style   template.CSS  // our own file
	Picture template.HTML // our own drawing, its words escaped by package picture
}

func newFrame(title string, picture []byte) frame {
	style, err := pageFiles.ReadFile("page/style.css")
	if err != nil {
		panic(err) // it is embedded
	}
	return frame{Title: title, Style: template.CSS(style), Picture: template.HTML(picture)}
}

type passPage struct {
	frame
	View
	Report   Report
	Findings []Finding
	Problems []string
}

type comparisonPage struct {
	frame
	ComparisonView
	Comparison Comparison
	Briefs     []passBrief
	Problems   []string
	Cautions   []string
}

// passBrief is one pass of a comparison in short.
type passBrief struct {
	Name, Says string
	Heard      []string // what else
	Advice     []string
}

// fileName is the name of a clip without its folder: pages are passed on, and the
// folder is private.
func fileName(c Clip) string { return Printable(filepath.Base(c.File)) }

func otherReading(v Verdict) string {
	if !v.OtherReadingRPM.Told() {
		return ""
	}
	return saysOther(v.OtherReadingRPM)
}
