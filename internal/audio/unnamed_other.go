//go:build !windows

package audio

import "os"

// createUnnamed makes a file for temporary use, for our eyes only. Its name is
// taken away at once, so that nothing is left of it, whatever ends this program.
func createUnnamed() (file, error) {
	f, err := os.CreateTemp("", "topnote-*")
	if err != nil {
		return nil, err
	}
	if err := os.Remove(f.Name()); err != nil {
		f.Close() // the first error counts
		return nil, err
	}
	return f, nil
}
