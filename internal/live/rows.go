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

// Opening is one opening of the throttle that is over, with its sound.
type Opening struct {
	Number int            `json:"row"`      // from 1 on
	From   engine.Seconds `json:"from_s"`   // of the sound
	To     engine.Seconds `json:"to_s"`     // likewise
	LetGo  engine.Seconds `json:"let_go_s"` // of the last instant near its top
	Heard  engine.Seconds `json:"heard_s"`  // sound that was heard when it was told
	Sound  []byte         `json:"-"`        // a WAV file, from before it to after it
}

const (
	before engine.Seconds = 3   // of the idle before an opening that is measured with it
	after  engine.Seconds = 0.6 // of what comes after it, so that its fall is whole
)

// rowMaker measures openings, one after the other, beside the listening.
type rowMaker struct {
	o       Options
	tape    *tape
	hand    func(Opening) error // openings on, who measures them elsewhere; nil: nobody
	waiting []opening           // until the sound after them is there
	last    engine.Seconds
	number  int

	work sync.WaitGroup
	mu   sync.Mutex // guards done
	done []Row
}

func newRowMaker(o Options, t *tape, hand func(Opening) error) *rowMaker {
	return &rowMaker{o: o, tape: t, hand: hand}
}

// measure takes an opening that is over.
func (m *rowMaker) measure(o opening) { m.waiting = append(m.waiting, o) }

// until measures the openings whose sound is there once so much was heard.
func (m *rowMaker) until(heard engine.Seconds) {
	for len(m.waiting) > 0 && heard >= m.waiting[0].heard+after {
		o := m.waiting[0]
		m.waiting = m.waiting[1:]
		wav := m.tape.wav(max(m.last, o.from-before), min(o.heard+after, m.tape.heard()))
		m.last = o.to
		m.number++
		next := Opening{m.number, o.from, o.to, o.letGo, m.tape.heard(), wav}
		m.wait() // of a sound that comes as it is played, long since done
		m.work.Go(func() {
			var row Row
			if m.hand != nil {
				row.err = m.hand(next)
			} else {
				row, row.err = next.Measure(m.o)
			}
			m.mu.Lock()
			defer m.mu.Unlock()
			m.done = append(m.done, row)
		})
	}
}

// Measure measures the opening: its sound is a recording by itself. The error is that of
// measure.Stream.
func (o Opening) Measure(options Options) (Row, error) {
	m, err := measure.Stream(bytes.NewReader(o.Sound), fmt.Sprintf("%s, opening %d", options.Name, o.Number), options.Machine)
	if err != nil {
		return Row{}, err
	}
	defer m.Close()
	return Row{
		Number: o.Number, LetGo: o.LetGo, Heard: o.Heard,
		Opening: report.OpeningOf(m.Report, o.From, o.To), Report: m.Report,
	}, nil
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
