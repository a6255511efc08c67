// Package race tells tests whether the race detector is on.
//
// The detector makes the tracker some seven times as slow (measured on the tests of
// package shaft). It looks for accesses of goroutines that nothing orders, and one
// pass has as many kinds of them as thirty. So tests that count over many made
// passes make fewer under it; what they count is held to the same bars.
package race

// Fewer gives the number of cases that a test tries: usually, or under the race
// detector.
func Fewer(usually, detecting int) int {
	if Enabled {
		return detecting
	}
	return usually
}
