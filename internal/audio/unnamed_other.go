//go:build !windows

package audio

import "os"

// createUnnamed makes a temporary file that only this user can read. Its name is
// removed at once, so that the file is gone however this program ends.
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
