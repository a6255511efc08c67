package books

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"strconv"
	"time"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/diagnose"
	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/web/fault"
)

// Entry is what is noted of the day of a pass. All but Recorded may be left out.
type Entry struct {
	Recorded   time.Time
	Air        *air.Reading
	Screws     book.Screws
	FilterNote string
	FuelNote   string
	Who        string
	Tachometer report.Speed // the top speed that one showed
	Again      bool         // though the machine has this recording already
}

// Stored is the place of a pass in the book.
type Stored struct {
	Number  int64  `json:"number"`
	Machine string `json:"machine"`
}

// AddPass writes a report into the book as a pass of a machine. It returns a
// *fault.Fault for a report without a speed.
func (s *Shared) AddPass(machine string, r report.Report, e Entry) (Stored, error) {
	if r.TopEnd == nil && r.Idle == nil {
		return Stored{}, nothingToStore()
	}
	b, err := s.read()
	if err != nil {
		return Stored{}, err
	}
	m, err := b.Machine(machine)
	if err != nil {
		return Stored{}, err
	}
	number, err := b.AddPass(book.Pass{
		Machine: m.Name, Recorded: e.Recorded, Report: r, Air: e.Air, Screws: e.Screws,
		FilterNote: e.FilterNote, FuelNote: e.FuelNote, Who: e.Who, TachometerRPM: e.Tachometer,
	}, e.Again)
	return Stored{number, m.Name}, err
}

// KeepSound keeps the recording of a pass.
func (s *Shared) KeepSound(pass int64, recording io.Reader) error {
	b, err := s.read()
	if err != nil {
		return err
	}
	bytes, err := io.ReadAll(io.LimitReader(recording, book.MaxSound+1))
	if err != nil {
		return err
	}
	return b.KeepSound(pass, bytes)
}

// KeepMeasured keeps the recording of a pass of a machine, which must be the one that
// was measured: by its fingerprint in the report.
func (s *Shared) KeepMeasured(machine, number string, recording io.Reader) error {
	_, p, err := s.Pass(machine, number)
	if err != nil {
		return err
	}
	bytes, err := io.ReadAll(io.LimitReader(recording, book.MaxSound+1))
	if err != nil {
		return err
	}
	if sum := sha256.Sum256(bytes); hex.EncodeToString(sum[:]) != p.Report.Clip.SHA256 {
		return anotherSound()
	}
	b, err := s.read()
	if err != nil {
		return err
	}
	return b.KeepSound(p.Number, bytes)
}

// Sounds gives the recordings that the book keeps, by the numbers of their passes.
func (s *Shared) Sounds() (map[int64]book.Sound, error) {
	b, err := s.read()
	if err != nil {
		return nil, err
	}
	return b.Sounds()
}

// Sound gives a pass of a machine with its recording.
func (s *Shared) Sound(machine, number string) (book.Pass, []byte, error) {
	_, p, err := s.Pass(machine, number)
	if err != nil {
		return p, nil, err
	}
	b, err := s.read()
	if err != nil {
		return p, nil, err
	}
	recording, err := b.Sound(p.Number)
	return p, recording, err
}

// ForgetSound takes the recording of a pass of a machine out of the book.
func (s *Shared) ForgetSound(machine, number string) error {
	_, p, err := s.Pass(machine, number)
	if err != nil {
		return err
	}
	b, err := s.read()
	if err != nil {
		return err
	}
	return b.ForgetSound(p.Number)
}

// ParseScrews reads the settings of the three screws, turns as people write them;
// "" is one that was not noted.
func ParseScrews(h, l, idle string) (book.Screws, error) {
	var screws book.Screws
	for _, one := range []struct {
		name, text string
		to         **book.Turns
	}{{"h_turns", h, &screws.H}, {"l_turns", l, &screws.L}, {"idle_turns", idle, &screws.Idle}} {
		if one.text == "" {
			continue
		}
		t, err := book.ParseTurns(one.text)
		if err != nil {
			return screws, fault.Named(one.name, err)
		}
		*one.to = &t
	}
	return screws, nil
}

// Trend gives the trend of a machine.
func (s *Shared) Trend(name string) (diagnose.Trend, error) {
	m, passes, err := s.Passes(name)
	if err != nil {
		return diagnose.Trend{}, err
	}
	return diagnose.NewTrend(m, passes, diagnose.Default()), nil
}

// TrendPicture gives a trend in the form that is drawn: diagnose and picture
// know nothing of each other.
func TrendPicture(t diagnose.Trend) picture.Trend {
	p := picture.Trend{Name: t.Machine.Name, Limits: t.Machine.Limits}
	for _, point := range t.Passes {
		p.Passes = append(p.Passes, picture.TrendPass{
			Number: point.Number, At: point.Recorded, Top: point.SustainedRPM, TopSD: point.SDRPM,
			Corrected: point.CorrectedRPM, CorrectedSD: point.CorrectedSDRPM,
			FourStroking: point.FourStrokingShare, Idle: point.IdleRPM, IdleSD: point.IdleSDRPM,
		})
	}
	return p
}

// Why explains pass to of a machine by pass from; 0 is the last, or the one before.
func (s *Shared) Why(machine string, from, to int64) (diagnose.Explanation, error) {
	_, passes, err := s.Passes(machine)
	if err != nil {
		return diagnose.Explanation{}, err
	}
	if to == 0 {
		for _, p := range passes {
			if p.ReplacedBy == 0 {
				to = p.Number
			}
		}
	}
	if to == 0 {
		return diagnose.Explanation{}, noPass()
	}
	return diagnose.Why(passes, to, from, diagnose.Default())
}

// ParseNumber reads the number of a pass from the field name of an address; 0
// where the field is empty.
func ParseNumber(name, text string) (int64, error) {
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, badNumber(name)
	}
	return n, nil
}
