package needle

import "topnote/internal/engine"

// Opening is one opening of the throttle that is over, with its sound.
type Opening struct {
	Number         int            `json:"row"`      // from 1 on
	From           engine.Seconds `json:"from_s"`   // of the sound
	To             engine.Seconds `json:"to_s"`     // likewise
	LetGo          engine.Seconds `json:"let_go_s"` // of the last instant near its top
	Heard          engine.Seconds `json:"heard_s"`  // sound that was heard when it was told
	Sound          []int16        `json:"-"`        // from before it to after it, interleaved by channel
	Rate, Channels int            `json:"-"`        // of Sound
}

const (
	before engine.Seconds = 3   // of the idle before an opening that is measured with it
	after  engine.Seconds = 0.6 // of what comes after it, so that its fall is whole
)

// openings cuts openings out of the sound.
type openings struct {
	tape    *tape
	waiting []opening // until the sound after them is there
	last    engine.Seconds
	number  int
}

// add takes an opening that is over; nil is none.
func (s *openings) add(o *opening) {
	if o != nil {
		s.waiting = append(s.waiting, *o)
	}
}

// until tells the openings whose sound is there once so much was heard.
func (s *openings) until(heard engine.Seconds, tell func(Opening) error) error {
	for len(s.waiting) > 0 && heard >= s.waiting[0].heard+after {
		o := s.waiting[0]
		s.waiting = s.waiting[1:]
		sound := s.tape.cut(max(s.last, o.from-before), min(o.heard+after, s.tape.heard()))
		s.last = o.to
		s.number++
		if tell == nil {
			continue
		}
		if err := tell(Opening{s.number, o.from, o.to, o.letGo, s.tape.heard(), sound, s.tape.rate, s.tape.channels}); err != nil {
			return err
		}
	}
	return nil
}
