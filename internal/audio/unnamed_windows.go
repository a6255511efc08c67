package audio

import (
	"crypto/rand"
	"os"
	"path/filepath"
)

// createUnnamed makes a temporary file that only this user can read. Here an open
// file keeps its name, but the system removes it with the program, also after a
// crash.
func createUnnamed() (file, error) {
	const deleteOnClose = 0x04000000 // FILE_FLAG_DELETE_ON_CLOSE
	name := filepath.Join(os.TempDir(), "topnote-"+rand.Text())
	return os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL|deleteOnClose, 0o600)
}
