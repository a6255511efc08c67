package shaft

import (
	"slices"

	"topnote/internal/engine"
)

// Span is a part of a recording: From is in it, To is not.
type Span struct{ From, To engine.Seconds }

// drowned reports whether something else drowns the engine at a point of the track:
// somebody speaks, and the lines are those of the voice.
func (f *follower) drowned(point int) bool {
	at := engine.Seconds(f.firstPoint+point) * f.o.Hop
	return slices.ContainsFunc(f.o.Drowned, func(s Span) bool { return s.From <= at && at < s.To })
}

// clearDrowned takes back the speeds where the engine is drowned: there they come from
// before and after.
func (f *follower) clearDrowned(ps []Point) {
	if len(f.o.Drowned) == 0 {
		return
	}
	for i := range ps {
		if f.drowned(i) {
			ps[i] = Point{}
		}
	}
}

// sayNothing makes all states equally likely.
func (f *observation) sayNothing() {
	for i := range f.logLikelihood {
		f.logLikelihood[i] = 1
	}
	f.sweepLogLikelihood = [modes][]float32{}
	f.noEngine = 1
}

// shifted gives the spans of a part of the sound that begins at a time.
func shifted(all []Span, by engine.Seconds) (out []Span) {
	for _, s := range all {
		out = append(out, Span{s.From - by, s.To - by})
	}
	return out
}
