package measure_test

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// fieldRecordings is where recordings with truth that was read by hand lie beside a
// checkout. They are not part of the project.
var fieldRecordings = filepath.Join("..", "..", "..", "shared", "recordings")

// TestRecordingsTrust prints what is claimed against what is found over the field
// recordings, measured without a limit. Held to the claims are those that there are
// enough readings for: a claim of 0.9 and more, and two standard deviations.
func TestRecordingsTrust(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(fieldRecordings, "truth.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the field recordings are not beside this checkout (../shared/recordings)")
	}
	if err != nil {
		t.Fatal(err)
	}
	var truths []keptTruth
	if err := json.Unmarshal(data, &truths); err != nil {
		t.Fatal(err)
	}
	var x trust
	for _, k := range truths {
		var h heard
		if err := h.measure(filepath.Join(fieldRecordings, "engine", k.Clip), 0, &h.known); err != nil {
			t.Fatal(err)
		}
		x.begin()
		x.field(h, k)
	}
	t.Logf("claimed against found, over %d recordings\n%s", len(truths), x.table())
	const surest, band = 9, 9
	for what, c := range map[string]claims{"reading on the right line": x.right, "firing: every turn or not": x.firing} {
		_, sum := c.of(surest)
		if n := float64(sum.all); sum.found < sum.claimed-claimPoints*n {
			t.Errorf("%s: %.1f %% of %v right, %.1f %% claimed", what, 100*sum.found/n, n, 100*sum.claimed/n)
		}
	}
	if share := float64(x.pointRight.within[band]) / float64(x.pointRight.all); share < 0.95-claimPoints {
		t.Errorf("%.1f %% of the speeds on the right line are within the interval of 95 %%", 100*share)
	}
}

// field holds the readings of a recording against what was read by hand, which is
// itself unsure by half a percent.
func (x *trust) field(h heard, k keptTruth) {
	const near, line, unsure = 0.01, 0.05, 0.005 // seconds; of the speed
	for _, p := range h.known.Track {
		for _, s := range k.Speed {
			for i, at := range s.At {
				if p.RPM == 0 || math.Abs(at-p.TimeS) >= near {
					continue
				}
				off := math.Abs(float64(p.RPM) - s.RPM[i])
				right := off < line*s.RPM[i]
				x.right.add(p.Confidence, right)
				off = max(0, off-unsure*s.RPM[i])
				x.point.add(off, p.SDRPM)
				if right {
					x.pointRight.add(off, p.SDRPM)
				}
			}
		}
		for _, f := range k.Firing {
			if p.TimeS >= f.From && p.TimeS <= f.To && p.FiresEveryRev > 0 {
				x.firing.add(p.FiringConfidence, (f.Every == 1) == (p.FiresEveryRev == 1))
			}
		}
	}
}
