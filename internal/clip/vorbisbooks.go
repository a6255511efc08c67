package clip

import (
	"math"
	"math/bits"
)

const (
	vorbisEntries = 1 << 14 // in a code book at most; those of encoders have up to 6561
	vorbisValues  = 1 << 18 // in a code book at most
	vorbisAll     = 1 << 16 // entries in all code books at most
)

// vorbisSetupFits reports whether the library can decode the code books and residues
// of a setup header. It does not check them: it would allocate without limit, or
// loop without end over a book without entries or dimensions or over a residue that
// ends before it begins, and neither can be recovered from. Other errors are left to
// the library.
//
// Source: Vorbis I specification, 3.2.1 (code books), 4.2.4 (setup header).
func vorbisSetupFits(setup []byte) bool {
	const name = 7 // packet type and "vorbis"
	if len(setup) < name {
		return false
	}
	r := &bitReader{bytes: setup[name:]}
	total := 0
	for range r.read(8) + 1 {
		entries, ok := r.book()
		if total += entries; !ok || total > vorbisAll {
			return false
		}
	}
	return !r.over && r.residues()
}

// residues reads from the end of the code books to the residues, as the library does,
// and reports whether each of them ends no earlier than it begins. Beyond the end
// of the header it reads zeros, which are harmless.
func (r *bitReader) residues() bool {
	const transform = 16
	for range r.read(6) + 1 {
		r.skip(transform)
	}
	for range r.read(6) + 1 {
		switch r.read(16) {
		case 0:
			r.floor0()
		case 1:
			r.floor1()
		default:
			return true // not a floor: the library stops here
		}
	}
	for range r.read(6) + 1 {
		if !r.residue() {
			return false
		}
	}
	return true
}

// floor0 skips a floor of type 0. Source: the same, 6.2.1.
func (r *bitReader) floor0() {
	const order, rate, barkMap, amplitude, offset, book = 8, 16, 16, 6, 8, 8
	r.skip(order + rate + barkMap + amplitude + offset)
	r.skip((r.read(4) + 1) * book)
}

// floor1 skips a floor of type 1. Source: the same, 7.2.2; without a partition the
// library still reads one class.
func (r *bitReader) floor1() {
	const book, multiplier = 8, 2
	partitions := make([]int, r.read(5))
	classes := 1
	for i := range partitions {
		partitions[i] = r.read(4)
		classes = max(classes, partitions[i]+1)
	}
	dimensions := make([]int, classes)
	for i := range dimensions {
		dimensions[i] = r.read(3) + 1
		subclasses := r.read(2)
		if subclasses > 0 {
			r.skip(book)
		}
		r.skip(book << subclasses)
	}
	r.skip(multiplier)
	rangeBits := r.read(4)
	for _, class := range partitions {
		r.skip(dimensions[class] * rangeBits)
	}
}

// residue reads a residue. Source: the same, 8.6.1.
func (r *bitReader) residue() (ok bool) {
	const kind, partition, classBook, book = 16, 24, 8, 8
	r.skip(kind)
	begin, end := r.read(24), r.read(24)
	r.skip(partition)
	classes := r.read(6) + 1
	r.skip(classBook)
	books := 0
	for range classes {
		low, high := r.read(3), 0
		if r.read(1) == 1 {
			high = r.read(5)
		}
		books += bits.OnesCount(uint(low)) + bits.OnesCount(uint(high))
	}
	r.skip(books * book)
	return begin <= end
}

// bitReader reads numbers from bits, the lowest of each byte first.
type bitReader struct {
	bytes []byte
	at    int  // bits read
	over  bool // read beyond the end, where all bits are 0
}

// read gives the next n bits, 32 at most.
func (r *bitReader) read(n int) int {
	v := 0
	for i := range n {
		if r.at >= 8*len(r.bytes) {
			r.over = true
			return 0
		}
		v |= int(r.bytes[r.at/8]>>(r.at%8)&1) << i
		r.at++
	}
	return v
}

// skip skips n bits.
func (r *bitReader) skip(n int) {
	if r.at += n; r.at > 8*len(r.bytes) {
		r.over = true
	}
}

// book reads one code book and gives its entries.
func (r *bitReader) book() (entries int, ok bool) {
	const sync = 0x564342
	if r.read(24) != sync {
		return 0, false
	}
	dimensions, entries := r.read(16), r.read(24)
	if dimensions < 1 || entries < 2 || entries > vorbisEntries || dimensions*entries > vorbisValues {
		return 0, false
	}
	if !r.lengths(entries) {
		return 0, false
	}
	const minimum, delta = 32, 32
	lookup := r.read(4)
	if lookup == 0 {
		return entries, !r.over
	}
	r.skip(minimum + delta)
	size := r.read(4) + 1
	r.skip(1)
	switch lookup {
	case 1:
		side, ok := vorbisSide(entries, dimensions)
		if !ok {
			return 0, false
		}
		r.skip(side * size)
	case 2:
		r.skip(entries * dimensions * size)
	default:
		return 0, false
	}
	return entries, !r.over
}

// lengths reads the lengths of the code words, and reports whether there is one.
func (r *bitReader) lengths(entries int) bool {
	const length, longest = 5, 32
	if r.read(1) == 0 { // in no order
		sparse, used := r.read(1) == 1, 0
		for range entries {
			if !sparse || r.read(1) == 1 {
				r.skip(length)
				used++
			}
		}
		return used > 0 && !r.over
	}
	at := r.read(length) + 1
	for begun := 0; begun < entries; at++ {
		count := r.read(bits.Len(uint(entries - begun)))
		if count > entries-begun || at > longest || r.over {
			return false
		}
		begun += count
	}
	return true
}

// vorbisSide gives the values per dimension of a lattice: the largest number whose
// power is no more than entries. ok is false where the floating-point root that the
// library takes instead is another number: it would then misread the header.
func vorbisSide(entries, dimensions int) (side int, ok bool) {
	power := func(v int) int {
		p := 1
		for i := 0; i < dimensions && p <= entries; i++ {
			p *= v
		}
		return p
	}
	for power(side+1) <= entries && side < entries {
		side++
	}
	root := int(math.Floor(math.Pow(float64(entries), 1/float64(dimensions))))
	return side, root == side
}
