package shaft

// statePrior gives the distribution over the states of the mode steady at the start
// of a block: with probability a half there is an engine, at any speed of the grid.
func statePrior(periods [MaxPeriod]float64, grid freqGrid, index *stateIndex) []float32 {
	p := make([]float32, index.states())
	for n, share := range periods {
		for i := range index.row(p, n) {
			index.row(p, n)[i] = float32(share / 2 / float64(grid.n))
		}
	}
	return p
}
