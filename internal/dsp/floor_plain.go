//go:build !amd64 || noasm || gccgo || safe

package dsp

func cumulate(dst, x []int32)                         { plainCumulate(dst, x, 0) }
func (f *Floor) clipMeans(dst, x []int32, over int32) { f.plainClipMeans(dst, x, over, 0) }
func (f *Floor) overMeans(dst []float32, x []int32)   { f.plainOverMeans(dst, x, 0) }
