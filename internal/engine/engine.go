// Package engine holds the quantities that Topnote measures in and the
// conversions between them.
//
// A number that is a physical quantity has one of these types, so that a speed
// cannot be added to a frequency by mistake. Where a speed may be unknown, an RPM of
// 0 means that; NaN is never used, since JSON cannot represent it. Start with RPM and
// Spec.
package engine

import "errors"

// RPM is a shaft speed in revolutions per minute. Zero means that the speed is
// unknown.
type RPM float64

// Hz is a frequency in cycles per second.
type Hz float64

// Seconds is a time, counted from the first sample of the clip unless the
// name of the variable says otherwise.
type Seconds float64

// Revs is an angle of the shaft in whole revolutions.
type Revs float64

// Decibel is a level; its reference is stated at each use.
type Decibel float64

// secondsPerMinute turns revolutions per minute into revolutions per second.
const secondsPerMinute = 60

// Told reports whether the speed is known.
func (r RPM) Told() bool { return r > 0 }

// Hz gives the frequency of order 1 at this speed: rpm/60.
func (r RPM) Hz() Hz { return Hz(r / secondsPerMinute) }

// RPM gives the speed at which order 1 is at this frequency.
func (f Hz) RPM() RPM { return RPM(f * secondsPerMinute) }

// Spec is what has to be known of an engine to convert its firing frequency into a
// speed. The zero value is not usable; see TwoStrokeSingle.
type Spec struct {
	Strokes   int // 2 or 4
	Cylinders int // 1 or more, firing evenly
}

// TwoStrokeSingle is the engine that most hand-held machines have.
var TwoStrokeSingle = Spec{Strokes: 2, Cylinders: 1}

// ErrSpec says that an engine cannot be measured as described.
var ErrSpec = errors.New("engine: an engine has 2 strokes and 1 to 12 cylinders, or 4 strokes and 1 to 3")

// A four-stroke of four and more cylinders fires twice a turn and oftener, and the
// lines between are those of cylinders that differ: of four such engines with stated
// speeds three were read at exactly half. They are refused until that is mended.
const (
	maxCylinders           = 12
	maxFourStrokeCylinders = 3
)

// Check returns ErrSpec unless the engine is one this program can measure.
func (e Spec) Check() error {
	most := map[int]int{2: maxCylinders, 4: maxFourStrokeCylinders}[e.Strokes]
	if e.Cylinders < 1 || e.Cylinders > most {
		return ErrSpec
	}
	return nil
}

// FiringOrder gives the number of firings in one revolution of the shaft when
// no firing is missed: the order (multiple of shaft frequency) of the lowest
// line of an engine that fires evenly. 1 for a two-stroke single, 0.5 for a
// four-stroke single.
//
// Source: identity of the working cycle; a two-stroke fires each cylinder once
// a revolution, a four-stroke once in two.
func (e Spec) FiringOrder() float64 {
	return float64(e.Cylinders) * 2 / float64(e.Strokes)
}

// FiringFrequency gives the firings per second at a shaft speed.
func (e Spec) FiringFrequency(speed RPM) Hz {
	return Hz(float64(speed.Hz()) * e.FiringOrder())
}
