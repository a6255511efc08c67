package audio

// Block is one of the overlapping pieces that something long is worked through in.
type Block struct {
	From, To int // what is taken from the block
	Lo, Hi   int // what is read for that: with a margin on either side, where there is one
}

// Blocks cuts n samples, or frames, into blocks of length, so that memory does not
// grow with n. The last block is longer, by up to half of length or by the margin,
// rather than leaving a short one over.
func Blocks(n, length, margin int) (all []Block) {
	for from := 0; ; from += length {
		b := Block{From: from, To: from + length, Lo: max(0, from-margin), Hi: from + length + margin}
		if n-b.To < length/2 || b.Hi >= n {
			b.To, b.Hi = n, n
			return append(all, b)
		}
		all = append(all, b)
	}
}
