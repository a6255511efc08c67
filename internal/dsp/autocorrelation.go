package dsp

import "math"

// Autocorrelation fills dst[k], for the lags k from first to len(dst)-1, with the
// normalised autocorrelation of one or more series, summed over all of them:
//
//	sum x[i] x[i+k] / sqrt(sum x[i]^2 sum x[i+k]^2)
//
// over i from 0 to n-1, as far as the series go. It is 1 where what is compared
// is alike but for gain, -1 where it is opposite, and 0 where either side is
// silent or there is nothing to compare. n of the length of the series or more
// takes all there is; a fixed n compares equal lengths at every lag.
//
// Source: the normalised cross-correlation of Talkin 1995.
func Autocorrelation(dst []float64, first, n int, series ...[]float64) {
	for lag := first; lag < len(dst); lag++ {
		dst[lag] = 0
	}
	if first >= len(dst) {
		return
	}
	products := make([]energies, len(series))
	for i, x := range series {
		products[i] = energiesAt(x, first, n)
	}
	for lag := first; lag < len(dst); lag++ {
		var both, sooner, later float64
		for i, x := range series {
			p := &products[i]
			both += Dot64(x[:p.n], x[min(lag, len(x)):][:p.n])
			sooner, later = sooner+p.sooner, later+p.later
			p.next(x, lag)
		}
		if sooner > 0 && later > 0 {
			dst[lag] = max(-1, min(1, both/math.Sqrt(sooner*later)))
		}
	}
}

// energies are the sums of squares of the two parts of a series that are
// compared at a lag, and how many samples each part has.
type energies struct {
	n             int
	sooner, later float64
}

func energiesAt(x []float64, lag, n int) energies {
	e := energies{n: max(0, min(n, len(x)-lag))}
	e.sooner = Dot64(x[:e.n], x[:e.n])
	if e.n > 0 {
		e.later = Dot64(x[lag:lag+e.n], x[lag:lag+e.n])
	}
	return e
}

// next turns the energies at a lag into those at the next one.
func (e *energies) next(x []float64, lag int) {
	if e.n == 0 {
		return
	}
	e.later -= x[lag] * x[lag]
	if lag+e.n < len(x) {
		e.later += x[lag+e.n] * x[lag+e.n]
		return
	}
	e.n--
	e.sooner -= x[e.n] * x[e.n]
}

// ShortTimeAutocorrelation gives the normalised autocorrelation of a series of
// vectors around each of them:
//
//	2 sum v[i].v[i+k] / (sum |v[i]|^2 + sum |v[i+k]|^2)
//
// over the i within width/2 of it, as far as i+k is in the series. vectors has
// shape [n][m]; the result has shape [n][lags], and its element k-1 is lag k. It
// is 1 where the vectors are equal, also in strength, 0 where they are unrelated
// or there is nothing to compare, and -1 where they are opposite.
//
// Source: the normalised square difference of McLeod and Wyvill 2005. Unlike
// Autocorrelation, it is under 1 for vectors that differ in strength alone.
func ShortTimeAutocorrelation(vectors [][]float32, lags, width int) [][]float64 {
	n := len(vectors)
	power := make([]float64, n+1) // up to each vector
	for i, v := range vectors {
		power[i+1] = power[i] + float64(Dot32(v, v))
	}
	out := Rows[float64](n, lags)
	cross := make([]float64, n+1)
	for lag := 1; lag <= lags; lag++ {
		for i := range max(0, n-lag) {
			cross[i+1] = cross[i] + float64(Dot32(vectors[i], vectors[i+lag]))
		}
		for i := range out {
			from, to := max(0, i-width/2), min(n-lag, i+width/2+1)
			if to <= from {
				continue
			}
			if mean := (power[to] - power[from] + power[to+lag] - power[from+lag]) / 2; mean > 0 {
				out[i][lag-1] = (cross[to] - cross[from]) / mean
			}
		}
	}
	return out
}

// Rows gives n slices of so many zeros each, one behind the other in memory: hundreds of
// thousands of small ones would be much work to make and to collect.
func Rows[T any](n, length int) [][]T {
	all, rows := make([]T, n*length), make([][]T, n)
	for i := range rows {
		rows[i] = all[i*length:][:length:length]
	}
	return rows
}
