package book

import (
	"testing"

	"pgregory.net/rapid"
)

func TestParseTurns(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Turns{
		"1.25": 1.25, " 1 ": 1, "0": 0, "1 1/4": 1.25, "1-1/4": 1.25, "7/8": 0.875, "2  1/16": 2.0625, ".5": 0.5, "20": 20, "11/8": 1.375,
	} {
		if got, err := ParseTurns(text); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	for text, says := range map[string]string{
		"": "is no setting", "one": "is no setting", "-1": "is no setting", "1,25": "is no setting", "1.5 1/4": "is no setting",
		"1 5/4": "is no setting", "1/0": "is no setting", "1/4/2": "is no setting", "1e1": "is no setting", "NaN": "is no setting",
		"1 turn": "is no setting", "1.5/2": "is no setting", "21": "21 turns is no setting", "99999": "is no setting", "½": "is no setting",
	} {
		_, err := ParseTurns(text)
		wantProblem(t, err, ErrEntry, says)
	}
}

// TestTurnsString: what is written is read back, to a thousandth.
func TestTurnsString(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := Turns(rapid.IntRange(0, 20000).Draw(t, "thousandths")) / 1000
		if got, err := ParseTurns(want.String()); err != nil || got-want > 1e-9 || want-got > 1e-9 {
			t.Errorf("%v was written as %q and read as %v, %v", float64(want), want.String(), float64(got), err)
		}
	})
}

func FuzzParseTurns(f *testing.F) {
	for _, text := range []string{"1.25", "1 1/4", "7/8", "-1", "1/0", "1 1", "/", "0x1p4"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := ParseTurns(text)
		if err == nil && !(v >= 0 && v <= maxTurns) {
			t.Errorf("%q was read as %v", text, float64(v))
		}
		if err != nil {
			oneSentence(t, err)
		}
	})
}
