package page

import (
	"fmt"
	"strings"
	"time"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
	"topnote/internal/verdict"
	"topnote/internal/web/jobs"
)

// reply is the message to whoever sent a recording, in two lengths. It begins with a
// greeting and says which recording it is about; the adviser adds the name.
type reply struct {
	Opening     string // of both: greeting, machine, recording, day
	Short, Long string // "": not there
}

// replyTo writes both messages about a measured clip.
func replyTo(j jobs.Job) reply {
	rep := replyAbout(j.Result.Report, j.Name, j.Machine, j.Recorded)
	rep.Long = rep.Opening + longMessage(j.Result.Reply, j.Result.Report)
	return rep
}

// replyFromBook writes both messages about a pass of the book. What a verdict closes with
// is not in its report; the first caution stands for it.
func replyFromBook(p book.Pass, machine string) reply {
	r := p.Report
	rep := replyAbout(r, r.Clip.File, machine, p.Recorded)
	v := verdict.Verdict{Says: r.Verdict.Says, Advice: r.Verdict.Advice, Alternative: engine.RPM(r.Verdict.OtherReadingRPM)}
	for _, f := range r.Verdict.Findings {
		v.Findings = append(v.Findings, verdict.Finding{Says: f.Says, Advice: f.Advice})
	}
	if len(r.Verdict.Cautions) > 0 {
		v.Closing = r.Verdict.Cautions[0]
	}
	rep.Long = rep.Opening + longMessage(verdict.Reply(v), r)
	return rep
}

// longMessage is a reply without its own opening, with what was wrong with the recording.
func longMessage(text string, r report.Report) string {
	return strings.TrimSuffix(strings.TrimPrefix(text, "About your recording.\n\n"), "\n") + "\n" + recordAgain(r)
}

// replyAbout writes the short message about a report of a recording, of that name and
// day; machine may be "".
func replyAbout(r report.Report, name, machine string, at time.Time) reply {
	day := at.Local().Format("2 January 2006")
	about := fmt.Sprintf(saysAboutClip, name, day)
	if machine != "" {
		about = fmt.Sprintf(saysAboutMachine, report.Printable(machine), name, day)
	}
	open := saysGreeting + "\n\n" + about + "\n\n"

	v := report.NewView(r)
	short := v.Headline + "."
	if v.Top != nil {
		short += fmt.Sprintf(saysShortTop, v.Top.Speed, v.Top.Off, v.Top.Margin)
	}
	if v.First != "" {
		short += "\n\n" + saysFirstStep + " " + v.First
	}
	return reply{Opening: open, Short: open + short + "\n" + recordAgain(r) + "\n" + saysCare + "\n"}
}

// recordAgain says what is wrong with a recording and how to record the next one; ""
// where nothing is.
func recordAgain(r report.Report) string {
	if len(r.Quality.Problems) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("\n" + saysFaults + "\n")
	for _, p := range r.Quality.Problems {
		b.WriteString("- " + p.Says + "\n")
	}
	b.WriteString(saysRecordAgain + "\n")
	return b.String()
}
