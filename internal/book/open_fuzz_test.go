package book

import (
	"bytes"
	"testing"
)

// FuzzOpen changes and cuts the file of a book: whatever it then is, every answer
// is right, or one of the known sentences.
func FuzzOpen(f *testing.F) {
	whole := smallBook(f)
	right := rightAnswers(f, whole)
	const page = 512
	for _, at := range []int{0, 16, 60, 68, 100, page, page + 8, 2 * page, len(whole) - 200} {
		f.Add(uint32(at), []byte{0xff, 0, 0x7f}, uint32(len(whole)))
		f.Add(uint32(at), []byte{}, uint32(at))
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, at uint32, patch []byte, size uint32) {
		file := bytes.Clone(whole)
		copy(file[min(int(at), len(file)):], patch)
		file = file[:min(int(size), len(file))]
		if len(file) == 0 {
			t.Skip("an empty file is a new book")
		}
		tryDamaged(t, folder, "fuzzed", file, right)
	})
}
