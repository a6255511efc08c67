package vary

import (
	"slices"
	"testing"
)

type frame struct{ Window float64 }

type options struct {
	Shaft struct {
		Spectra []frame
		Count   int
		Zero    float64
	}
	frame
}

func made() *options {
	o := options{frame: frame{Window: 3}}
	o.Shaft.Spectra, o.Shaft.Count = []frame{{2}, {2}, {4}}, 1
	return &o
}

// TestNames: each number has a name, and equal ones of frames share one.
func TestNames(t *testing.T) {
	want := []string{"Shaft.Frame.Window=2", "Shaft.Frame.Window=4", "Shaft.Count", "Shaft.Zero", "Window"}
	if got := Names(made()); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestMove: only what has the name moves, an integer by a whole step.
func TestMove(t *testing.T) {
	o := made()
	for _, name := range []string{"Shaft.Frame.Window=2", "Shaft.Count", "Shaft.Zero"} {
		Move(o, name, 1.25)
	}
	if got := o.Shaft.Spectra; !slices.Equal(got, []frame{{2.5}, {2.5}, {4}}) {
		t.Errorf("frames are %v", got)
	}
	if o.Shaft.Count != 2 || o.Shaft.Zero != 0.25 || o.Window != 3 {
		t.Errorf("got %+v", o)
	}
}
