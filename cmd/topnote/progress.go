package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"

	"golang.org/x/term"
)

// progress is one line on a terminal that says how many clips are done. It is
// hidden while anything else is printed, and removed at the end. It is only shown
// on a terminal, and only for several clips.
type progress struct {
	out   io.Writer // nil: nothing is shown
	total int

	mu     sync.Mutex
	done   int
	hidden bool
}

func newProgress(errs io.Writer, total int) *progress {
	p := &progress{total: total}
	if f, isFile := errs.(*os.File); isFile && total > 1 && term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb" {
		p.out = errs
	}
	p.show()
	return p
}

// step counts one more clip.
func (p *progress) step() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done++
	p.draw()
}

// hide removes the line until show.
func (p *progress) hide() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.out != nil && !p.hidden {
		fmt.Fprint(p.out, "\r"+eraseLine)
	}
	p.hidden = true
}

// show brings the line back.
func (p *progress) show() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.hidden = false
	p.draw()
}

// eraseLine is the terminal's sequence that clears from the cursor to the end
// of the line. Source: ECMA-48, erase in line.
const eraseLine = "\x1b[K"

func (p *progress) draw() {
	if p.out == nil || p.hidden {
		return
	}
	const width = 24
	filled := width * p.done / p.total
	bar := strings.Repeat("=", filled) + strings.Repeat(".", width-filled)
	fmt.Fprintf(p.out, "\r%s%s", saysProgress(bar, p.done, p.total), eraseLine)
}
