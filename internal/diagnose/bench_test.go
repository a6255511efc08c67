package diagnose

import "testing"

// BenchmarkWhy explains the last of some passes against the first.
func BenchmarkWhy(b *testing.B) {
	h := leakGrows(3)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Why(h.passes, int64(len(h.passes)), 1, Default()); err != nil {
			b.Fatal(err)
		}
	}
}
