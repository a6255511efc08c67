// Package offline is the program as static files, which run on a phone alone: the
// page around the pages, its workers, the WebAssembly of the program and of SQLite,
// icons.
//
// The files that are built and not written, the WebAssembly first of all, are made
// by .ci/page.go into the folder built and are in no commit; a program that was
// built without them has Files return ErrNotBuilt. Start with WriteFolder or
// Handler.
//
// Sources: W3C Service Workers; W3C Web Application Manifest; W3C Subresource
// Integrity.
package offline

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
)

//go:embed static all:built
var embedded embed.FS

// ErrNotBuilt is the error of a program that was built without the files.
var ErrNotBuilt = errors.New("offline: the files for a phone were not built")

// needed are the files that .ci/page.go makes.
var needed = []string{"topnote.bin", "wasm_exec.js", "sqlite3.js", "sqlite3.wasm", "licences.txt"}

// worker is the file that lists all the others.
const worker = "sw.js"

// Files gives the content of each file by its name; all are in one folder.
func Files() (map[string][]byte, error) {
	files := map[string][]byte{}
	for _, folder := range []string{"static", "built"} {
		entries, err := embedded.ReadDir(folder)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			if e.Name() == ".gitignore" {
				continue
			}
			if files[e.Name()], err = embedded.ReadFile(path.Join(folder, e.Name())); err != nil {
				return nil, err
			}
		}
	}
	for _, name := range needed {
		if len(files[name]) == 0 {
			return nil, ErrNotBuilt
		}
	}
	for _, size := range iconSizes {
		icon, err := drawIcon(size)
		if err != nil {
			return nil, err
		}
		files[fmt.Sprintf("icon-%d.png", size)] = icon
	}
	files["icon.svg"] = []byte(iconSVG)
	return files, list(files)
}

// list writes into the service worker which files there are, each with its SHA-256,
// and a version that is another one whenever any of them is.
func list(files map[string][]byte) error {
	integrity := map[string]string{}
	all := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		sum := sha256.Sum256(files[name])
		all.Write(sum[:])
		if name != worker {
			integrity[name] = "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
		}
	}
	text, err := json.MarshalIndent(integrity, "", "  ")
	if err != nil {
		return err
	}
	const digits = 8 // bytes of the version
	w := bytes.ReplaceAll(files[worker], []byte("{{VERSION}}"), []byte(hex.EncodeToString(all.Sum(nil)[:digits])))
	files[worker] = bytes.ReplaceAll(w, []byte("{{FILES}}"), text)
	return nil
}

// WriteFolder writes the files into a folder, which it makes where there is none, and
// gives their paths in order. The service worker comes last, so that nobody gets a
// list of files that are not there yet. Errors are those of the system.
func WriteFolder(folder string) ([]string, error) {
	files, err := Files()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(folder, 0o777); err != nil { // less the umask: a host reads them
		return nil, err
	}
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(files)), func(n string) bool { return n == worker })
	var written []string
	for _, name := range append(names, worker) {
		to := filepath.Join(folder, name)
		if err := os.WriteFile(to, files[name], 0o666); err != nil {
			return nil, err
		}
		written = append(written, to)
	}
	return written, nil
}
