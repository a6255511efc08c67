package live

import (
	"bytes"
	"fmt"
	"sync"

	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/report"
)

// Row is one opening of the throttle as it was measured.
type Row struct {
	Number int            // from 1 on
	LetGo  engine.Seconds // of the sound: when the throttle was let go
	Heard  engine.Seconds // sound that was heard when the row was given to be measured
	report.Opening
	Report report.Report // of the stretch by itself, its times from the start of that

	err error
}

const (
	before engine.Seconds = 3   // of the idle before an opening that is measured with it
	after  engine.Seconds = 0.6 // of what comes after it, so that its fall is whole
)

// rowMaker measures openings, one after the other, beside the listening.
type rowMaker struct {
	o       Options
	tape    *tape
	waiting []opening // until the sound after them is there
	last    engine.Seconds
	number  int

	work sync.WaitGroup
	mu   sync.Mutex // guards done
	done []Row
}

func newRowMaker(o Options, t *tape) *rowMaker { return &rowMaker{o: o, tape: t} }

// measure takes an opening that is over.
func (m *rowMaker) measure(o opening) { m.waiting = append(m.waiting, o) }

// until measures the openings whose sound is there once so much was heard.
func (m *rowMaker) until(heard engine.Seconds) {
	for len(m.waiting) > 0 && heard >= m.waiting[0].heard+after {
		o := m.waiting[0]
		m.waiting = m.waiting[1:]
		to := min(o.heard+after, m.tape.heard())
		wav := m.tape.wav(max(m.last, o.from-before), to)
		m.last = o.to
		m.number++
		row := Row{Number: m.number, LetGo: o.letGo, Heard: m.tape.heard()}
		m.wait() // of a sound that comes as it is played, long since done
		m.work.Go(func() {
			row.fill(m.o, wav, o)
			m.mu.Lock()
			defer m.mu.Unlock()
			m.done = append(m.done, row)
		})
	}
}

// fill measures the stretch of a row.
func (r *Row) fill(o Options, wav []byte, of opening) {
	name := fmt.Sprintf("%s, opening %d", o.Name, r.Number)
	m, err := measure.Stream(bytes.NewReader(wav), name, o.Machine)
	if err != nil {
		r.err = err
		return
	}
	defer m.Close()
	r.Report = m.Report
	r.Opening = report.OpeningOf(m.Report, of.from, of.to)
}

// ready gives the rows that were measured since the last call.
func (m *rowMaker) ready() []Row {
	m.mu.Lock()
	defer m.mu.Unlock()
	rows := m.done
	m.done = nil
	return rows
}

// wait waits for the rows that are being measured.
func (m *rowMaker) wait() { m.work.Wait() }
