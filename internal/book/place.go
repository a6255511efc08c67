package book

import (
	"os"
	"path/filepath"
	"runtime"
)

// The default place of the book within the user's data folder.
const (
	folderName = "topnote"
	fileName   = "book.sqlite"
	importName = "import.sqlite" // of a book that is being read into another
)

// DefaultPath gives the place of the book when the user names none:
// topnote/book.sqlite in XDG_DATA_HOME, or without that variable in the folder
// that the system has for a user's data. It returns a *Problem of kind ErrFile where no
// such folder is known.
//
// Source: XDG Base Directory Specification 0.8, by which a relative path in that
// variable is ignored; the folders of macOS and Windows are common practice.
func DefaultPath() (string, error) {
	home, err := os.UserHomeDir()
	if err != nil {
		home = ""
	}
	folder := dataFolder(runtime.GOOS, home, os.Getenv)
	if folder == "" {
		return "", problemNoDataFolder()
	}
	return filepath.Join(folder, folderName, fileName), nil
}

// dataFolder gives the folder for a user's data on a system, "" for unknown.
func dataFolder(system, home string, environment func(string) string) string {
	if named := environment("XDG_DATA_HOME"); filepath.IsAbs(named) {
		return named
	}
	if system == "windows" {
		if local := environment("LocalAppData"); local != "" {
			return local
		}
	}
	switch {
	case home == "":
		return ""
	case system == "windows":
		return filepath.Join(home, "AppData", "Local")
	case system == "darwin":
		return filepath.Join(home, "Library", "Application Support")
	default:
		return filepath.Join(home, ".local", "share")
	}
}
