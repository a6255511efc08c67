package pass

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/parallel"
)

// sustained is a speed that was held over one window of the track.
type sustained struct {
	speed     float64 // rpm; 0: too little told
	claimedSD float64 // standard deviation that the readings claim, rpm
	sharedSD  float64 // standard deviation of the error that they share, rpm
	scatterSD float64 // standard deviation that their scatter leaves to speed, rpm
	floorSD   float64 // standard deviation that no reading is better than, rpm

	most       float64 // HeldShare of the readings cannot have reached more, even if they are too low, rpm
	confidence float64 // 0 to 1: HeldShare of the readings have as much
}

// sd gives the standard deviation of the speed.
func (w sustained) sd() float64 { return math.Sqrt(sq(w.sharedSD) + sq(w.scatterSD) + sq(w.floorSD)) }

// looseSD gives it where nothing that the readings claim is taken for their own error:
// by it a window counts as exact, or as a doubt.
func (w sustained) looseSD() float64 {
	return math.Sqrt(sq(w.claimedSD) + sq(w.scatterSD) + sq(w.floorSD))
}

// upperSD gives that of an error upwards: readings that are less sure than the others
// leave no more room than the others do, for the speed is held by HeldShare of all.
func (w sustained) upperSD(o Options) float64 {
	if w.most == 0 {
		return w.sd()
	}
	return min(w.sd(), max(w.floorSD, (w.most-w.speed)/o.CoverageFactor))
}

// calm reports whether the readings of the window agree with one another.
func (w sustained) calm(o Options) bool { return w.speed > 0 && w.scatterSD <= 2*o.SettledBand*w.speed }

func (w sustained) figure() Figure { return Figure{engine.RPM(w.speed), engine.RPM(w.sd())} }

// heldSpeeds has, for each point, the speed held over HeldFor and over BriefFor
// from that point on.
type heldSpeeds struct {
	long, brief             []sustained
	longPoints, briefPoints int // points in a window
}

// measureHeld measures them, both at once, but takes over what is shared with another series.
func measureHeld(s *series, o Options, known shared) *heldSpeeds {
	h := &heldSpeeds{longPoints: s.count(o.HeldFor), briefPoints: s.count(o.BriefFor)}
	var long, brief []sustained
	if known.series != nil {
		long, brief = known.held.long, known.held.brief
	}
	var group parallel.Group
	group.Go(func() error {
		h.brief = heldOver(s, o.BriefFor, o, known, brief)
		return nil
	})
	h.long = heldOver(s, o.HeldFor, o, known, long)
	if err := group.Wait(); err != nil {
		panic(err)
	}
	return h
}

// heldOver gives the speed held over each window that is d long; the zero value where
// there is none. all has those of the series that known is shared with.
func heldOver(s *series, d engine.Seconds, o Options, known shared, all []sustained) []sustained {
	wide := s.count(d)
	out := make([]sustained, len(s.points))
	h := newSlidingQuantiles(s, o)
	for i := range out {
		r := span{i, i + wide}
		if r.b > len(out) {
			break
		}
		if !s.isHeld(r, d) {
			continue
		}
		w, ok := known.window(r, all, d)
		if !ok {
			w = h.heldIn(r)
		}
		out[i] = w
	}
	return out
}

// isHeld reports whether something can be held over a window, d long. Nothing is across
// a hole in the track, which is filled only in part, nor across a jump: on one side of
// it the readings are wrong. What comes after either counts again.
func (s *series) isHeld(r span, d engine.Seconds) bool { return s.length(r) < 2*d && !s.jumpsWithin(r) }

// slidingQuantiles gives the speed held in one window after the other. The values
// of a window are kept sorted from one to the next.
type slidingQuantiles struct {
	*series
	opt        Options
	speeds     []float64 // of the told points
	toldBefore []int     // told points before each point, and in all

	all, firstHalf, lastHalf sortedWindow    // the speeds of a window, of its first half and of its last
	claimed                  sortedWindow    // the deviations that its readings claim
	reached                  sortedWindow    // the speeds, as high as they may be
	confident                sortedWindow    // the confidence of its readings
	detrended                detrendedWindow // the speeds, less their trend
}

func newSlidingQuantiles(s *series, o Options) *slidingQuantiles {
	h := &slidingQuantiles{series: s, opt: o, toldBefore: make([]int, 1, len(s.points)+1)}
	empty := func() []float64 { return make([]float64, 0, len(s.points)) }
	own, most, confidence := empty(), empty(), empty()
	h.speeds = empty()
	for _, p := range s.points {
		if p.Speed.Told() {
			v, sd := float64(p.Speed), float64(p.SD)
			h.speeds, own, most = append(h.speeds, v), append(own, sd), append(most, v+o.CoverageFactor*math.Hypot(sd, o.FloorSD*v))
			confidence = append(confidence, p.Confidence)
		}
		h.toldBefore = append(h.toldBefore, len(h.speeds))
	}
	h.all.series, h.firstHalf.series, h.lastHalf.series, h.detrended.series = h.speeds, h.speeds, h.speeds, h.speeds
	h.claimed.series, h.reached.series, h.confident.series = own, most, confidence
	return h
}

// heldIn gives the speed held throughout a window, which begins and ends no earlier
// than the last: the median of its readings, but no more than HeldBand above the
// speed that HeldShare of them reach. So one short spike cannot raise it, and
// while noise stays inside the band it is the median, which noise does not pull
// down.
func (h *slidingQuantiles) heldIn(r span) sustained {
	a, b := h.toldBefore[r.a], h.toldBefore[r.b]
	if float64(b-a) < h.opt.HeldShare*float64(r.b-r.a) {
		return sustained{}
	}
	x := h.all.slide(a, b)
	reached := dsp.Quantile(x, 1-h.opt.HeldShare) / (1 - h.opt.HeldBand)
	return h.completeSD(sustained{
		speed: min(dsp.Quantile(x, 0.5), reached), claimedSD: dsp.Quantile(h.claimed.slide(a, b), 0.5), scatterSD: h.scattered(a, b),
		most: dsp.Quantile(h.reached.slide(a, b), 1-h.opt.HeldShare), confidence: dsp.Quantile(h.confident.slide(a, b), 1-h.opt.HeldShare),
	}, b-a, h.opt)
}

// scattered gives the robust standard deviation of the detrended readings.
func (h *slidingQuantiles) scattered(a, b int) float64 {
	half := (b - a) / 2
	trend := trendOf(dsp.Quantile(h.firstHalf.slide(a, a+half), 0.5), dsp.Quantile(h.lastHalf.slide(b-half, b), 0.5), b-a)
	return h.detrended.robustSD(a, b, trend)
}

// withSD gives a median speed over a span its standard deviation.
func (s *series) withSD(r span, speed float64, o Options) sustained {
	x := s.told(r)
	return s.completeSD(sustained{speed: speed, claimedSD: s.ownSD(r), scatterSD: dsp.RobustSD(detrended(x))}, len(x), o)
}

// completeSD completes the standard deviation of a median speed over so many readings,
// whose scatter scatterSD is so far. Errors that
// differ from reading to reading scatter them, and count over the root of the number of
// independent ones, one every CorrelatedFor. What they claim beyond their scatter they
// can only err by together: it is not divided. Then comes a floor.
func (s *series) completeSD(w sustained, readings int, o Options) sustained {
	independent := max(1, float64(readings)*s.hop/float64(o.CorrelatedFor))
	w.sharedSD = math.Sqrt(max(0, sq(w.claimedSD)-sq(w.scatterSD)))
	w.scatterSD /= math.Sqrt(independent)
	w.floorSD = o.FloorSD * w.speed
	return w
}

// ownSD gives the usual standard deviation that the readings of a span claim.
func (s *series) ownSD(r span) float64 {
	var own []float64
	for _, p := range s.points[r.a:r.b] {
		if p.Speed.Told() {
			own = append(own, float64(p.SD))
		}
	}
	return dsp.Median(own)
}

func sq(v float64) float64 { return v * v }

// fastestHeld gives the highest speed among the windows that lie in a span and the
// point at which it begins. Calm windows come first: one that is not calm
// counts only where there is no other. With no window it returns a zero held.
//
// It takes no account of what the readings claim of their uncertainty, so that the
// phases and what they are measured over do not change with it.
func fastestHeld(windows []sustained, wide int, r span, o Options) (sustained, int) {
	var top sustained
	at := r.a
	for i := r.a; i+wide <= r.b; i++ {
		w := windows[i]
		if w.speed == 0 || (top.calm(o) && !w.calm(o)) {
			continue
		}
		if w.speed > top.speed || (w.calm(o) && !top.calm(o)) {
			top, at = w, i
		}
	}
	return top, at
}
