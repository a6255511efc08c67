package shaft

import (
	"math"

	"topnote/internal/engine"
)

// listen gives the likelihood of every state at every look, without looking at
// the frequencies of a mask, and the lines that stand all along.
func (f *follower) listen(x []float32, m mask) (hs []heard, steady mask, err error) {
	short, err := f.viewer(f.o.Spectra[0], m)
	if err != nil {
		return nil, nil, err
	}
	hops := int(float64(len(x))/(float64(f.o.Hop)*float64(f.rate))) + 1
	hs = f.looks(hops, short, x)
	for _, v := range f.o.Spectra[1:] {
		// The last view resolves best, and says what stands.
		if steady, err = f.look(hs, v, x, m); err != nil {
			return nil, nil, err
		}
	}
	beats := envelope(x, f.rate, f.o.Hiss, f.o.Envelope.Decimated)
	if _, err = f.look(hs, f.o.Envelope, beats, nil); err != nil {
		return nil, nil, err
	}
	weighContrast(hs, float64(f.o.ContrastWhile/f.o.Hop))
	loudness := f.o.Loudness.weigh(x, hops, f)
	for t := range hs {
		h := &hs[t]
		loudness.subtract(h, h.hop, &f.lat.rows, f.o.Scale)
		next := 1
		if t+1 < len(hs) {
			next = hs[t+1].since
		}
		span := float64(h.since+next) / 2
		h.likely(f.o.Scale*span, f.o.Quiet*span)
	}
	return hs, steady, nil
}

// looks chooses where to look at sound of so many points, and looks there with
// the short view: a stride apart and, between two looks that do not hear the
// same lines, half-way, and so on down to every hop.
func (f *follower) looks(hops int, w *viewer, x []float32) []heard {
	hop := float64(f.o.Hop) * float64(w.rate)
	f.spare.used, f.heard = 0, f.heard[:0]
	look := func(at int) heard {
		h := heard{hop: at, still: f.spare.next(), whole: f.spare.next()}
		w.read(h.still, x, int(float64(at)*hop), 0)
		copy(h.whole, w.whole)
		top := highest(h.still)
		h.lines, h.sure = f.lat.rows.spacing(top, f.sc), h.still[top] > float32(w.Sure)
		return h
	}
	var upTo func(a, b heard) // takes in what is looked at after a, up to b
	upTo = func(a, b heard) {
		b.since = b.hop - a.hop
		if b.since > 1 && !alike(a.lines, b.lines) {
			half := look(a.hop + b.since/2)
			upTo(a, half)
			upTo(half, b)
			return
		}
		f.heard = append(f.heard, b)
	}
	last := look(0)
	last.since = 1
	f.heard = append(f.heard, last)
	for last.hop < hops-1 {
		next := look(min(last.hop+f.o.Stride, hops-1))
		upTo(last, next)
		last = next
	}
	for t := range f.heard {
		h := &f.heard[t]
		moves := h.since == 1 || t+1 < len(f.heard) && f.heard[t+1].since == 1
		w.slopes(h, x, int(float64(h.hop)*hop), moves && !h.sure)
	}
	return f.heard
}

// weighContrast lets the contrast of looks that hear the same lines count for no
// more than so long a stretch of them, in hops. What sets one order of an engine
// over another does so all along: what all looks have in common is no more certain
// than one of them.
func weighContrast(hs []heard, most float64) {
	for len(hs) > 0 {
		n := 1
		for n < len(hs) && alike(hs[n-1].lines, hs[n].lines) {
			n++
		}
		if length := float64(hs[n-1].hop - hs[0].hop + 1); length > most {
			for _, h := range hs[:n] {
				h.eachOwn(func(p []float32) { axpy(float32(most/length-1), h.whole, p) })
			}
		}
		hs = hs[n:]
	}
}

// alike reports whether two spacings of lines are the same, or next to each other.
func alike(a, b int) bool { return a-b <= 1 && b-a <= 1 }

// highest gives the place of the greatest element.
func highest(v []float32) (at int) {
	top := v[0]
	for i, x := range v {
		if x > top {
			top, at = x, i
		}
	}
	return at
}

// stretch says by how much windows are longer than for an engine that fires at
// every turn: lines of one that fires less often stand closer.
func stretch(order float64) float64 { return max(1, 1/order) }

// viewer makes the viewer of one view, blind to the frequencies of a mask.
func (f *follower) viewer(v View, m mask) (*viewer, error) {
	v.Window *= engine.Seconds(stretch(f.order))
	v.Size *= int(math.Ceil(stretch(f.order)))
	rate := f.rate / engine.Hz(max(1, v.Decimated))
	v.Top = min(v.Top, rate/2)
	return newViewer(v, rate, f.sc, &f.lat.rows, &f.o, &f.spare, m)
}

// look adds the evidence of one view and gives the lines that stand in it all
// along.
func (f *follower) look(hs []heard, v View, x []float32, m mask) (mask, error) {
	w, err := f.viewer(v, m)
	if err != nil {
		return nil, err
	}
	hop, least := float64(f.o.Hop)*float64(w.rate), float32(f.o.Steady.Level)
	for t := range hs {
		h := &hs[t]
		w.read(w.still, x, int(float64(h.hop)*hop), 0)
		w.same(h)
		for i, stands := range w.level[1 : len(w.level)-1] {
			if stands > least || w.level[i] > least || w.level[i+2] > least {
				w.often[i+1] += h.since
			}
		}
	}
	return f.o.Steady.steadyLines(w.often, hs[len(hs)-1].hop+1, w.plan.BinWidth()), nil
}
