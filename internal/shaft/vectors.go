package shaft

// vectorPool holds vectors over the states, which are used again for block after
// block.
type vectorPool struct {
	states  int
	vectors [][]float32
	used    int
	free    [][]float32 // given back one by one
}

// reset takes back all vectors.
func (p *vectorPool) reset() { p.used, p.free = 0, p.free[:0] }

// giveBack takes vectors of this pool that are not used any more.
func (p *vectorPool) giveBack(vs ...[]float32) {
	for _, v := range vs {
		if v != nil {
			p.free = append(p.free, v)
		}
	}
}

// next gives a vector with any content.
func (p *vectorPool) next() []float32 {
	if n := len(p.free); n > 0 {
		v := p.free[n-1]
		p.free = p.free[:n-1]
		return v
	}
	if p.used == len(p.vectors) {
		const atOnce = 32
		all := make([]float32, atOnce*p.states)
		for range atOnce {
			p.vectors = append(p.vectors, all[:p.states:p.states])
			all = all[p.states:]
		}
	}
	p.used++
	return p.vectors[p.used-1]
}

// stateVector gives three of them as one number for every state, with any content.
func (p *vectorPool) stateVector() (v stateVector) {
	for m := range v.in {
		v.in[m] = p.next()
	}
	return v
}
