package dsp

// Trio filters a sound by one section and by two more in series, and sums its energy, all
// at once: while one of them waits for its last result, a processor works on the others.
type Trio struct {
	One    Biquad
	Two    [2]Biquad
	sum    float64 // energy so far
	sumOne float64 // energy of what One gave so far
}

// Run takes the next samples. It writes the energy up to and with each, the same of what
// One gives, and what Two gives.
func (t *Trio) Run(x []float32, energy, energyOfOne, two []float64) {
	energy, energyOfOne, two = energy[:len(x)], energyOfOne[:len(x)], two[:len(x)]
	q, r, s := t.One, t.Two[0], t.Two[1]
	q1, q2, r1, r2, s1, s2 := q.z1, q.z2, r.z1, r.z2, s.z1, s.z2 // in registers
	sum, sumOne := t.sum, t.sumOne
	for i, v := range x {
		v := float64(v)
		y := q.b0*v + q1
		q1 = q.b1*v - q.a1*y + q2
		q2 = q.b2*v - q.a2*y
		u := r.b0*v + r1
		r1 = r.b1*v - r.a1*u + r2
		r2 = r.b2*v - r.a2*u
		w := s.b0*u + s1
		s1 = s.b1*u - s.a1*w + s2
		s2 = s.b2*u - s.a2*w
		sum += v * v
		sumOne += y * y
		energy[i], energyOfOne[i], two[i] = sum, sumOne, w
	}
	t.One.z1, t.One.z2, t.sum, t.sumOne = q1, q2, sum, sumOne
	t.Two[0].z1, t.Two[0].z2, t.Two[1].z1, t.Two[1].z2 = r1, r2, s1, s2
}

// Energy filters the next samples and gives their energy, from a first summand on.
func (q *Biquad) Energy(x []float32, first float64) float64 {
	s, z1, z2 := *q, q.z1, q.z2 // in registers
	for _, v := range x {
		y := s.b0*float64(v) + z1
		z1 = s.b1*float64(v) - s.a1*y + z2
		z2 = s.b2*float64(v) - s.a2*y
		first += y * y
	}
	q.z1, q.z2 = z1, z2
	return first
}

// Energies is Energy of two filters at once, for the reason of Trio.
func Energies(q, r *Biquad, x []float32, first float64) (ofQ, ofR float64) {
	s, t, q1, q2, r1, r2 := *q, *r, q.z1, q.z2, r.z1, r.z2
	ofQ, ofR = first, first
	for _, v := range x {
		v := float64(v)
		y := s.b0*v + q1
		q1 = s.b1*v - s.a1*y + q2
		q2 = s.b2*v - s.a2*y
		ofQ += y * y
		u := t.b0*v + r1
		r1 = t.b1*v - t.a1*u + r2
		r2 = t.b2*v - t.a2*u
		ofR += u * u
	}
	q.z1, q.z2, r.z1, r.z2 = q1, q2, r1, r2
	return ofQ, ofR
}
