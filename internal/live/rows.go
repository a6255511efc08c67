package live

import (
	"bytes"
	"fmt"
	"sync"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/needle"
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

// rowMaker measures openings, one after the other, beside the listening.
type rowMaker struct {
	o Options

	work sync.WaitGroup
	mu   sync.Mutex // guards done
	done []Row
}

// measure measures an opening that is over. It gives no error: that of the row comes with it.
func (m *rowMaker) measure(o needle.Opening) error {
	m.wait() // of a sound that comes as it is played, long since done
	m.work.Go(func() {
		row, err := Measure(o, m.o)
		row.err = err
		m.mu.Lock()
		defer m.mu.Unlock()
		m.done = append(m.done, row)
	})
	return nil
}

// Measure measures an opening: its sound is a recording by itself. The error is that of
// measure.Stream.
func Measure(o needle.Opening, options Options) (Row, error) {
	wav := clip.WAVOf(o.Sound, o.Rate, o.Channels)
	m, err := measure.Stream(bytes.NewReader(wav), fmt.Sprintf("%s, opening %d", options.Name, o.Number), options.Machine)
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
