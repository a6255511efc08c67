package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress is one line on a terminal that says how far the work is: of several
// clips how many are done and how long the rest will take, of a single one how long
// it has taken. It is hidden
// while anything else is printed, and removed at the end. It is only shown on a
// terminal.
type progress struct {
	out   io.Writer // nil: nothing is shown
	total int
	began time.Time
	ended chan struct{}

	mu     sync.Mutex
	done   int
	hidden bool
}

// newProgress shows the line until end is called.
func newProgress(errs io.Writer, total int) *progress {
	p := &progress{total: total, began: time.Now(), ended: make(chan struct{})}
	if f, isFile := errs.(*os.File); isFile && term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb" {
		p.out = errs
		go p.renew(time.Second)
	}
	p.show()
	return p
}

// renew draws the line again from time to time, since it may tell the time.
func (p *progress) renew(every time.Duration) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			p.mu.Lock()
			p.draw()
			p.mu.Unlock()
		case <-p.ended:
			return
		}
	}
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

// end removes the line for good.
func (p *progress) end() {
	p.hide()
	close(p.ended)
}

// eraseLine is the terminal's sequence that clears from the cursor to the end
// of the line. Source: ECMA-48, erase in line.
const eraseLine = "\x1b[K"

// quick is how long a single clip may take before anything is shown. A pass takes
// less.
const quick = 2 * time.Second

func (p *progress) draw() {
	if p.out == nil || p.hidden {
		return
	}
	taken := time.Since(p.began)
	if p.total == 1 {
		if taken >= quick {
			fmt.Fprintf(p.out, "\r%s%s", saysMeasuring(taken), eraseLine)
		}
		return
	}
	const width = 24
	filled := width * p.done / p.total
	bar := strings.Repeat("=", filled) + strings.Repeat(".", width-filled)
	says := saysProgress(bar, p.done, p.total)
	if left := p.left(taken); left > 0 {
		says = saysProgressLeft(bar, p.done, p.total, left)
	}
	fmt.Fprintf(p.out, "\r%s%s", says, eraseLine)
}

// left is how long the clips that are not done will take if they are like those that
// are; 0 where that is not known yet, or not worth a word.
func (p *progress) left(taken time.Duration) time.Duration {
	if p.done == 0 || taken < quick {
		return 0
	}
	return taken / time.Duration(p.done) * time.Duration(p.total-p.done)
}
