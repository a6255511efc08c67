package dsp

// The passes of FFT as plain loops. On some processors others do the same work, to the
// last bit (passes_amd64.go).

// plainRadix2NoTwiddle is the pass with a stride of half the points, whose factors are 1.
func plainRadix2NoTwiddle(y, x []complex64) {
	half := len(x) / 2
	lo, hi, sum, difference := x[:half], x[half:], y[:half], y[half:]
	for i, a := range lo {
		b := hi[i]
		sum[i], difference[i] = a+b, a-b
	}
}

// plainRadix4First is the pass with a stride of 1, without an inner loop.
func plainRadix4First(y, x, twiddles []complex64) {
	n := len(x) / 4
	xa, xb, xc, xd := x[:n], x[n:][:n], x[2*n:][:n], x[3*n:][:n]
	t1, t2, t3 := twiddles[:n], twiddles[n:][:n], twiddles[2*n:][:n]
	for p, a := range xa {
		b, c, d, out := xb[p], xc[p], xd[p], y[4*p:4*p+4]
		ac, bd := a+c, b+d
		out[0], out[2] = ac+bd, times(t2[p], ac-bd)
		ca, db := a-c, b-d
		out[1] = times(t1[p], complex(real(ca)+imag(db), imag(ca)-real(db)))
		out[3] = times(t3[p], complex(real(ca)-imag(db), imag(ca)+real(db)))
	}
}

// plainRadix4Stage is a pass of radix-4 butterflies with a stride over 1.
func plainRadix4Stage(y, x, twiddles []complex64, stride int) {
	quarter := len(x) / 4
	for p := range quarter / stride {
		from := stride * p
		radix4Butterfly(y[4*from:][:4*stride], x[from:], quarter, [3]complex64(twiddles[3*p:]))
	}
}

// radix4Butterfly writes to the quarters of y the transforms of four points of x that
// are a quarter of the whole apart, times the twiddle factors. It is a function of
// its own, and reads and writes in pairs, so that everything stays in registers.
func radix4Butterfly(y, x []complex64, quarter int, twiddle [3]complex64) {
	n := len(y) / 4
	a, b, c, d := x[:n], x[quarter:][:n], x[2*quarter:][:n], x[3*quarter:][:n]
	y0, y1, y2, y3 := y[:n], y[n:][:n], y[2*n:][:n], y[3*n:][:n]
	for i := range a {
		ac, bd := a[i]+c[i], b[i]+d[i]
		y0[i], y2[i] = ac+bd, times(twiddle[1], ac-bd)
		ca, db := a[i]-c[i], b[i]-d[i]
		y1[i] = times(twiddle[0], complex(real(ca)+imag(db), imag(ca)-real(db))) // ca - j db
		y3[i] = times(twiddle[2], complex(real(ca)-imag(db), imag(ca)+real(db))) // ca + j db
	}
}

// plainRadix4NoTwiddle is plainRadix4Stage with a stride of a quarter of the points, whose factors
// are 1.
func plainRadix4NoTwiddle(y, x []complex64) {
	n := len(x) / 4
	a, b, c, d := x[:n], x[n:][:n], x[2*n:][:n], x[3*n:][:n]
	y0, y1, y2, y3 := y[:n], y[n:][:n], y[2*n:][:n], y[3*n:][:n]
	for i := range a {
		ac, bd := a[i]+c[i], b[i]+d[i]
		y0[i], y2[i] = ac+bd, ac-bd
		ca, db := a[i]-c[i], b[i]-d[i]
		y1[i] = complex(real(ca)+imag(db), imag(ca)-real(db)) // ca - j db
		y3[i] = complex(real(ca)-imag(db), imag(ca)+real(db)) // ca + j db
	}
}
