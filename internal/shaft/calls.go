package shaft

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// CallOptions says what of the track is a voice, an animal, a horn or hum, and no
// engine.
type CallOptions struct {
	From   engine.Hz      // of what counts for the level: wind is below
	Lull   engine.Seconds // in which no shaft comes down to idle and up again, 0.36 s for 10,000 rpm
	Breath engine.Seconds // no throat sounds for longer without a lull

	// A run of points, no longer than a breath, that begins at a speed that no idle has
	// and out of a sound softer by Step is no engine: one that runs so fast was to be
	// heard before. Nor is one that ends so: idle is 8 to 24 dB softer than full
	// throttle. Nor is one within Beside of where a voice drowns all else.
	Fast    engine.RPM
	Step    engine.Decibel
	MaxRate float64 // of ln speed, 1/s: one that moves faster may have come from idle
	Beside  engine.Seconds

	// Syllables: lulls of that depth, no further apart.
	Depth    engine.Decibel
	Syllable engine.Seconds

	// Hum, horns and electric motors do not wander; the shaft of an engine does.
	Wander float64        // relative: spread of nine readings in ten, in
	Still  engine.Seconds // so long a time
}

func defaultCalls() CallOptions {
	const lull = 10 // dB
	return CallOptions{
		From: 250, Lull: 0.25, Breath: 3, Fast: 5000, Step: 2 * lull, MaxRate: 2, Beside: 0.5, Depth: lull, Syllable: 0.5,
		Wander: 0.0008, Still: 1,
	}
}

// clearCalls takes back what cannot have been an engine, by the level of the sound and
// by its steadiness.
func (f *follower) clearCalls(ps []Point) {
	o := f.o.Calls
	c := newCalls(o, ps, f.heard.level, f.o.Hop)
	breath := f.o.hops(o.Breath)
	for from, to := range runs(ps) {
		if to-from < breath && (c.born(from, to) || c.gone(from, to) || f.besideVoice(ps, from, to)) {
			clearSpeeds(ps[from:to])
			continue
		}
		c.clearSyllables(from, to, f.o.hops(o.Syllable))
	}
	f.o.clearTones(ps)
}

func clearSpeeds(ps []Point) {
	for i := range ps {
		ps[i] = Point{At: ps[i].At}
	}
}

// besideVoice reports whether a run is fast and next to where a voice drowns all else:
// a part of the voice that was not found.
func (f *follower) besideVoice(ps []Point, from, to int) bool {
	o := f.o.Calls
	beside := f.o.hops(o.Beside)
	if ps[(from+to)/2].Speed < o.Fast {
		return false
	}
	for i := 0; i <= beside; i++ {
		if f.drowned(from-i) || f.drowned(to-1+i) {
			return true
		}
	}
	return false
}

// calls is a track and the level of the sound at each of its points.
type calls struct {
	o     CallOptions
	ps    []Point
	level []float64 // dB
	lull  int       // points
	rates []float64 // of ln speed, 1/s

	from, to int // points of the recording, without digital silence before and after it
}

func newCalls(o CallOptions, ps []Point, level []float64, hop engine.Seconds) *calls {
	c := &calls{o: o, ps: ps, level: level, lull: int(math.Round(float64(o.Lull / hop))), rates: chirpRates(ps, hop), to: len(ps)}
	for ; c.from < c.to && level[c.from] <= silent; c.from++ {
	}
	for ; c.to > c.from && level[c.to-1] <= silent; c.to-- {
	}
	return c
}

// silence is the power, and silent just above the level, dB, of digital silence: half a
// step of 16 bits is louder.
const silence, silent = 1e-10, -99

// levelOf gives the level of a power, dB.
func levelOf(power float64) float64 { return 10 * math.Log10(power+silence) }

// smear is how far beyond a sound's ends the windows of the frames reach, in points.
const smear = 3

// born reports whether a run begins fast, out of a much softer sound.
func (c *calls) born(from, to int) bool {
	inside := from + smear
	if from-c.from < c.lull || inside+c.lull > to || c.ps[inside].Speed < c.o.Fast || c.rates[inside] > c.o.MaxRate {
		return false
	}
	return c.typical(inside, inside+c.lull)-c.softest(from-c.lull, inside) > float64(c.o.Step)
}

// gone reports whether a run ends fast, in a sound that is softer than an idle.
func (c *calls) gone(from, to int) bool {
	inside := to - smear
	if to+c.lull > c.to || inside-c.lull < from || c.ps[inside-1].Speed < c.o.Fast || c.rates[inside-1] < -c.o.MaxRate {
		return false
	}
	return c.typical(inside-c.lull, inside)-c.softest(inside, to+c.lull) > float64(c.o.Step)
}

func (c *calls) typical(from, to int) float64 { return dsp.Median(c.level[from:to]) }

// clearSyllables takes back what is between lulls that follow one another as those
// between syllables do.
func (c *calls) clearSyllables(from, to, apart int) {
	all := c.lulls(from, to)
	for i := 1; i < len(all); i++ {
		if a, b := all[i-1], all[i]; b-a <= apart {
			clearSpeeds(c.ps[max(from, a-c.lull):min(to, b+c.lull)])
		}
	}
}

// lulls gives the moments in a run that are much softer than the time on either side.
func (c *calls) lulls(from, to int) (all []int) {
	for i := from + 1; i+1 < to; i++ {
		beside := min(c.loudest(max(from, i-c.lull), i), c.loudest(i+1, min(to, i+1+c.lull)))
		if beside-c.level[i] > float64(c.o.Depth) && c.level[i] <= c.level[i-1] && c.level[i] < c.level[i+1] {
			all = append(all, i)
		}
	}
	return all
}

func (c *calls) loudest(from, to int) float64 { return slices.Max(c.level[from:to]) }

func (c *calls) softest(from, to int) float64 { return slices.Min(c.level[from:to]) }

// clearTones takes back the stretches in which the lines are for so many points as still
// as those of no shaft: no two firings are alike. Where a throttle is seen to move it is
// an engine nevertheless.
func (o Options) clearTones(ps []Point) {
	n := o.hops(o.Calls.Still)
	all := o.stretches(ps)
	for from := 0; from+n <= len(ps); from += n / 4 {
		if !o.still(ps[from : from+n]) {
			continue
		}
		for _, s := range all {
			if s.from < from+n && s.to > from && !o.throttled(ps[s.from:s.to]) {
				clearSpeeds(ps[s.from:s.to])
			}
		}
	}
}

// still reports whether the lines, where they were refined, do not wander.
func (o Options) still(ps []Point) bool {
	const exact = 0.005 // relative standard deviation of what was refined: the points of the grid do not wander, either
	var v []float64     // speeds that firings at every turn have the lines of
	for _, p := range ps {
		if p.Speed.Told() && p.SD < exact*p.Speed {
			v = append(v, float64(p.Speed)/float64(p.period()))
		}
	}
	return 2*len(v) >= len(ps) && spreadOf(v) < o.Calls.Wander
}

// spreadOf gives the spread of nine speeds in ten, relative to the slowest of them.
func spreadOf(v []float64) float64 {
	const tails = 0.05
	v = dsp.Sorted(v)
	return dsp.Quantile(v, 1-tails)/dsp.Quantile(v, tails) - 1
}
