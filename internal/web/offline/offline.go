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
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"topnote/internal/web/page"
	"topnote/internal/web/phone"
)

//go:embed static all:built
var embedded embed.FS

// ErrNotBuilt is the error of a program that was built without the files.
var ErrNotBuilt = errors.New("offline: the files for a phone were not built")

// needed are the files that .ci/page.go makes.
var needed = []string{"topnote.bin", "listen.bin", "wasm_exec.js", "sqlite3.js", "sqlite3.wasm", "licences.txt"}

// worker is the file that lists all the others, starter the one that checks the programs
// when they are loaded for the first time.
const (
	worker  = "sw.js"
	starter = "program.js"
	decoder = "unlzma.js" // of the program; the worker that lists the others has it within
)

// firstPages are the pages that are shown the first time while the program comes.
const firstPages = "first.json"

// pagesStatic is where the pages look for their scripts and styles. The service worker
// has those too, so that a page does not wait for the program with each of them.
const pagesStatic = "app/static"

// Files gives the content of each file by its path.
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
	static := page.Static()
	entries, err := fs.ReadDir(static, ".")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if files[path.Join(pagesStatic, e.Name())], err = fs.ReadFile(static, e.Name()); err != nil {
			return nil, err
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
	first, err := phone.FirstPages()
	if err != nil {
		return nil, err
	}
	if files[firstPages], err = json.Marshal(first); err != nil {
		return nil, err
	}
	return files, list(files)
}

// list writes into the service worker which files there are, each with its SHA-256,
// and a version that is another one whenever any of them is.
func list(files map[string][]byte) error {
	programs, err := json.MarshalIndent(map[string]string{"topnote": digest(files["topnote.bin"]), "listen": digest(files["listen.bin"])}, "", "  ")
	if err != nil {
		return err
	}
	files[starter] = bytes.ReplaceAll(files[starter], []byte("{{PROGRAMS}}"), programs)
	integrity := map[string]string{}
	all := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		all.Write([]byte(digest(files[name])))
		if name != worker {
			integrity[name] = digest(files[name])
		}
	}
	text, err := json.MarshalIndent(integrity, "", "  ")
	if err != nil {
		return err
	}
	const digits = 8 // bytes of the version
	filled := strings.NewReplacer("{{VERSION}}", hex.EncodeToString(all.Sum(nil)[:digits]), "{{FILES}}", string(text), "{{UNLZMA}}", string(files[decoder]))
	files[worker] = []byte(filled.Replace(string(files[worker])))
	return nil
}

// digest gives the SHA-256 of a file as browsers want it.
func digest(content []byte) string {
	sum := sha256.Sum256(content)
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// WriteFolder writes the files into a folder, which it makes where there is none, and
// gives their paths in order. The service worker comes last, so that nobody gets a
// list of files that are not there yet. Errors are those of the system.
func WriteFolder(folder string) ([]string, error) {
	files, err := Files()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(filepath.Join(folder, pagesStatic), 0o777); err != nil { // less the umask: a host reads them
		return nil, err
	}
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(files)), func(n string) bool { return n == worker })
	var written []string
	for _, name := range append(names, worker) {
		to := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.WriteFile(to, files[name], 0o666); err != nil {
			return nil, err
		}
		written = append(written, to)
	}
	return written, nil
}
