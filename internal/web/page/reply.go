package page

import (
	"fmt"
	"strings"

	"topnote/internal/report"
	"topnote/internal/web/jobs"
)

// reply is the message to whoever sent a recording, in two lengths. It begins with a
// greeting and says which recording it is about; the adviser adds the name.
type reply struct{ Short, Long string }

// replyTo writes both messages about a measured clip.
func replyTo(j jobs.Job) reply {
	r := j.Result.Report
	about := fmt.Sprintf(saysAboutClip, j.Name, j.Made.Local().Format("2 January 2006"))
	if j.Machine != "" {
		about = fmt.Sprintf(saysAboutMachine, report.Printable(j.Machine), j.Name, j.Made.Local().Format("2 January 2006"))
	}
	open := saysGreeting + "\n\n" + about + "\n\n"
	again := recordAgain(r)

	v := report.NewView(r)
	short := v.Headline + "."
	if v.Top != nil {
		short += fmt.Sprintf(saysShortTop, v.Top.Speed, v.Top.Off, v.Top.Margin)
	}
	if v.First != "" {
		short += "\n\n" + saysFirstStep + " " + v.First
	}
	long := strings.TrimPrefix(j.Result.Reply, "About your recording.\n\n")
	return reply{
		Short: open + short + "\n" + again + "\n" + saysCare + "\n",
		Long:  open + strings.TrimSuffix(long, "\n") + "\n" + again,
	}
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
