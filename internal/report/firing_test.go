package report

import "testing"

// TestSaysFiringNotTold: where nothing was told, there is no share to speak of.
func TestSaysFiringNotTold(t *testing.T) {
	if got := saysFiring(TopEnd{FourStrokingSD: 0.5}, Engine{}); got != "not told" {
		t.Errorf("said %q", got)
	}
	if got, want := saysFiring(TopEnd{FourStrokingShare: 0.6, CleanShare: 0.3, FourStrokingSD: 0.1}, Engine{}),
		"four-stroking 60 % (40 to 80 %) of the time; clean 30 %; not told 10 %"; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}
