//go:build !amd64 || noasm || gccgo || safe

package dsp

func addFour([]float32, *[4]Scaled) int { return 0 }

func slide(a, b *Sliding) int { return 0 }
