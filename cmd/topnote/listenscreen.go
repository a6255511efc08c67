package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
	"topnote/internal/report"
)

// liveScreen shows what is heard: as JSON, a line for each reading; as text on a
// terminal, one line that is written over; elsewhere, a line a second. Rows stay.
type liveScreen struct {
	job      *listenJob
	machine  engine.Machine
	out      *bufio.Writer
	json     bool
	terminal bool
	columns  int
	rows     int
	next     engine.Seconds // of the next line, where they are written one under the other
	notes    <-chan string
	note     string // since the last row
}

func newLiveScreen(j *listenJob, o live.Options) *liveScreen {
	s := &liveScreen{job: j, machine: o.Machine, out: bufio.NewWriter(j.out), json: j.format == formatJSON}
	s.columns = textStyle(j.out).Columns
	if f, isFile := j.out.(*os.File); isFile && !s.json {
		s.terminal = term.IsTerminal(int(f.Fd()))
	}
	s.notes = readNotes(j.notesFrom(o.Name, s.terminal))
	return s
}

// notesFrom gives where notes are typed: standard input, where that is not the sound,
// or else the keyboard of the terminal.
func (j *listenJob) notesFrom(sound string, terminal bool) io.Reader {
	if sound != standardInput {
		return j.in
	}
	if !terminal {
		return nil
	}
	keyboard, err := os.Open("/dev/tty")
	if err != nil {
		return nil // a terminal without one: then there are no notes
	}
	return keyboard
}

// readNotes gives the lines that are typed.
func readNotes(from io.Reader) <-chan string {
	if from == nil {
		return nil
	}
	const atMost = 16 // lines that nobody took yet
	notes := make(chan string, atMost)
	go func() {
		defer close(notes)
		for lines := bufio.NewScanner(from); lines.Scan(); {
			notes <- strings.TrimSpace(lines.Text())
		}
	}()
	return notes
}

// takeNotes takes in what was typed: a screw and its turns, or words.
func (s *liveScreen) takeNotes() {
	for {
		select {
		case line, more := <-s.notes:
			if !more {
				s.notes = nil
				return
			}
			s.take(line)
		default:
			return
		}
	}
}

// take takes one note. "h 1 1/8" is the setting of a screw, from here on.
func (s *liveScreen) take(line string) {
	if line == "" {
		return
	}
	name, setting, _ := strings.Cut(line, " ")
	screws := &s.job.book.pass.Screws
	if to := map[string]**book.Turns{"h": &screws.H, "l": &screws.L, "idle": &screws.Idle}[strings.ToLower(name)]; to != nil {
		if turns, err := book.ParseTurns(setting); err == nil {
			*to = &turns
		}
	}
	if s.note != "" {
		s.note += "; "
	}
	s.note += report.OneLine(line)
}

// reading shows a reading.
func (s *liveScreen) reading(r needle.Reading) error {
	s.takeNotes()
	switch {
	case s.json:
		return s.line(live.JSON(r))
	case r.At < s.next:
		return nil
	case s.terminal:
		s.next = r.At + 0.1
		text := []rune(saysReading(r, s.machine.Ceiling()))
		fmt.Fprintf(s.out, "\r%s\x1b[K", string(text[:min(len(text), s.columns-1)]))
	default:
		s.next = r.At + 1
		fmt.Fprintf(s.out, "%7.1f s  %s\n", float64(r.At), saysReading(r, s.machine.Ceiling()))
	}
	return s.out.Flush()
}

// rowLine is a row as JSON.
type rowLine struct {
	live.RowJSON
	Note   string      `json:"note,omitempty"`
	Screws book.Screws `json:"screws"`
}

// row shows an opening of the throttle.
func (s *liveScreen) row(r live.Row) error {
	s.takeNotes()
	note := s.note
	s.note = ""
	if s.json {
		return s.line(rowLine{r.JSON(s.machine.Ceiling()), note, s.job.book.pass.Screws})
	}
	if s.terminal {
		fmt.Fprint(s.out, "\r\x1b[K")
	}
	if s.rows == 0 {
		fmt.Fprintf(s.out, "  %3s%s", "", report.OpeningLine(report.OpeningColumns(report.Engine{Strokes: s.machine.Spec.Strokes})))
	}
	s.rows++
	line := strings.TrimSuffix(report.OpeningLine(r.Cells(report.Speed(s.machine.Ceiling()))), "\n")
	if note != "" {
		line += "  (" + report.Printable(note) + ")"
	}
	fmt.Fprintf(s.out, "  %3d%s\n", r.Number, line)
	return s.out.Flush()
}

// line writes a line of JSON.
func (s *liveScreen) line(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	s.out.Write(append(b, '\n')) // its error comes back from Flush
	return s.out.Flush()
}

// close ends the line that is written over.
func (s *liveScreen) close() {
	if s.terminal {
		fmt.Fprintln(s.out)
	}
	s.out.Flush() // nobody may read any more
}
