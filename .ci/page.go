// Command page builds what internal/web/offline needs beside its own files: the
// program and SQLite as WebAssembly, with their licences. It needs Go and npm, which
// fetches one package, whose content is checked. The same sources and the same Go give
// the same bytes, anywhere.
//
//	go run .ci/page.go [VERSION]          into internal/web/offline/built
//	go run .ci/page.go -overlay FOLDER    only what is changed of Go's own library, for
//	                                      go test -overlay FOLDER/overlay.json
package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/kjk/lzma"
)

const (
	built = "internal/web/offline/built"

	// SQLite's own WebAssembly, by name, version and the SHA-512 of its archive.
	sqlitePackage   = "@sqlite.org/sqlite-wasm@3.54.1-build1"
	sqliteIntegrity = "foW427VBLJ3G87bsnvQTZCc9zYe0Fq1wH0pz1I6BlKLKXcArIAyTkHtq0iT2llmhcMQt9T/p6l5PpQQh+6O8uQ=="

	// The module of the pictures, and where it is changed: a path that is the same
	// everywhere, since the program holds it.
	plotModule = "gonum.org/v1/plot"
	plotCopy   = "./out/page-plot"
)

// cold are packages in which calls are made as they are written: none of them has an
// inner loop of a measurement, and calls take less room than what they call.
var cold = []string{
	"crypto/...", "database/...", "encoding/...", "fmt", "html/...", "image/...", "io/...", "log", "mime/...", "net", "net/...", "os", "path/...",
	"reflect", "regexp/...", "text/...", "time", "unicode/...", "git.sr.ht/...", "github.com/golang/freetype/...", "golang.org/x/image/...",
	"gonum.org/v1/plot/...", "topnote/internal/air", "topnote/internal/book", "topnote/internal/diagnose", "topnote/internal/pass",
	"topnote/internal/picture", "topnote/internal/report/...", "topnote/internal/verdict", "topnote/internal/web/...",
}

func main() {
	version := "development"
	if len(os.Args) == 3 && os.Args[1] == "-overlay" {
		exitOn(withoutMethods(os.Args[2]))
		return
	}
	if len(os.Args) > 1 {
		version = os.Args[1]
	}
	work, err := os.MkdirTemp("", "topnote-page-")
	if err == nil {
		err = errors.Join(build(work, version), os.RemoveAll(work))
	}
	exitOn(err)
}

func exitOn(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func build(work, version string) error {
	if err := os.MkdirAll(built, 0o777); err != nil {
		return err
	}
	files, err := sqlite(work)
	if err != nil {
		return err
	}
	goroot, err := output(exec.Command("go", "env", "GOROOT"))
	if err != nil {
		return err
	}
	if files["wasm_exec.js"], err = os.ReadFile(filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec.js")); err != nil {
		return err
	}
	if err := programs(files, work, version); err != nil {
		return err
	}
	if files["licences.txt"], err = output(exec.Command("go", "run", ".ci/licences.go", "-texts")); err != nil {
		return err
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(built, name), content, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// sqlite gives the two files of SQLite's package that a browser needs.
func sqlite(work string) (map[string][]byte, error) {
	pack := exec.Command("npm", "pack", "--silent", "--ignore-scripts", sqlitePackage)
	pack.Dir = work
	name, err := output(pack)
	if err != nil {
		return nil, err
	}
	archive, err := os.ReadFile(filepath.Join(work, strings.TrimSpace(string(name))))
	if err != nil {
		return nil, err
	}
	if sum := sha512.Sum512(archive); base64.StdEncoding.EncodeToString(sum[:]) != sqliteIntegrity {
		return nil, fmt.Errorf("%s is not what it was", sqlitePackage)
	}
	unzipped, err := gzip.NewReader(bytes.NewReader(archive))
	if err != nil {
		return nil, err
	}
	wanted := map[string]string{"package/dist/index.mjs": "sqlite3.js", "package/dist/sqlite3.wasm": "sqlite3.wasm"}
	files := map[string][]byte{}
	for t := tar.NewReader(unzipped); ; {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if to := wanted[h.Name]; to != "" {
			if files[to], err = io.ReadAll(t); err != nil {
				return nil, err
			}
		}
	}
	if len(files) != len(wanted) {
		return nil, fmt.Errorf("%s has no longer the files that are wanted", sqlitePackage)
	}
	return files, nil
}

// programs builds the programs and compresses them. The module of the pictures is a copy
// with two fonts of its twelve, and without formulas and the formats of files that
// the pages do not have.
func programs(files map[string][]byte, work, version string) error {
	defer os.RemoveAll(plotCopy)
	if err := twoFonts(plotCopy); err != nil {
		return err
	}
	mod, err := os.ReadFile("go.mod")
	if err != nil {
		return err
	}
	sum, err := os.ReadFile("go.sum")
	if err != nil {
		return err
	}
	modfile := filepath.Join(work, "page.mod")
	mod = append(mod, fmt.Sprintf("\nreplace %s => %s\n", plotModule, plotCopy)...)
	if err := errors.Join(os.WriteFile(modfile, mod, 0o666), os.WriteFile(filepath.Join(work, "page.sum"), sum, 0o666)); err != nil {
		return err
	}
	if err := withoutMethods(work); err != nil {
		return err
	}
	for name, command := range map[string]string{"topnote": "./cmd/topnote-phone", "listen": "./cmd/topnote-listen"} {
		content, err := program(work, modfile, command, version)
		if err != nil {
			return err
		}
		packed, err := compressed(content)
		if err != nil {
			return err
		}
		fmt.Printf("%s.wasm: %d bytes, %d compressed\n", name, len(content), len(packed))
		files[name+".bin"] = packed
	}
	return nil
}

// program builds a program.
func program(work, modfile, command, version string) ([]byte, error) {
	wasm := filepath.Join(work, "program.wasm")
	arguments := []string{"build", "-mod=mod", "-modfile=" + modfile, "-overlay=" + filepath.Join(work, "overlay.json"), "-trimpath", "-buildvcs=false", "-pgo=off",
		"-tags", "minimal,nethttpomithttp2", "-ldflags", "-s -w -buildid= -X main.release=" + version, "-o", wasm}
	for _, packages := range cold {
		arguments = append(arguments, "-gcflags="+packages+"=-l")
	}
	c := exec.Command("go", append(arguments, command)...)
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=")
	if _, err := output(c); err != nil {
		return nil, err
	}
	return os.ReadFile(wasm)
}

// compressed compresses with LZMA, which internal/web/offline/static/unlzma.js unpacks.
func compressed(content []byte) ([]byte, error) {
	const level = 6 // 16 MB of it are looked back on; more makes the program smaller by 0.1 % and takes half as long again
	var b bytes.Buffer
	w := lzma.NewWriterSizeLevel(&b, int64(len(content)), level)
	if _, err := w.Write(content); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	r := lzma.NewReader(bytes.NewReader(b.Bytes()))
	again, err := io.ReadAll(r)
	if err == nil && !bytes.Equal(again, content) {
		err = errors.New("what was compressed is not what it was")
	}
	return b.Bytes(), errors.Join(err, r.Close())
}

// withoutMethods writes an overlay in which templates call no methods, which ours do
// not: for a template could call any of them by its name, the linker keeps all methods
// of all types, a quarter of the program.
func withoutMethods(folder string) error {
	const (
		call = "if method := ptr.MethodByName(fieldName); method.IsValid() {"
		none = "if method := (reflect.Value{}); method.IsValid() {"
	)
	goroot, err := output(exec.Command("go", "env", "GOROOT"))
	if err != nil {
		return err
	}
	source := filepath.Join(strings.TrimSpace(string(goroot)), "src", "text", "template", "exec.go")
	text, err := os.ReadFile(source)
	if err != nil {
		return err
	}
	if strings.Count(string(text), call) != 1 {
		return fmt.Errorf("%s calls methods otherwise than this command knows", source)
	}
	folder, err = filepath.Abs(folder)
	if err != nil {
		return err
	}
	changed := filepath.Join(folder, "exec.go")
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {source: changed}})
	if err != nil {
		return err
	}
	return errors.Join(os.MkdirAll(folder, 0o777), os.WriteFile(changed, []byte(strings.Replace(string(text), call, none, 1)), 0o666),
		os.WriteFile(filepath.Join(folder, "overlay.json"), overlay, 0o666))
}

// twoFonts copies the module of the pictures and takes ten fonts out of it.
func twoFonts(to string) error {
	dir, err := output(exec.Command("go", "list", "-m", "-f", "{{.Dir}}", plotModule))
	if err != nil {
		return err
	}
	from := strings.TrimSpace(string(dir))
	err = filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		rel, errRel := filepath.Rel(from, path)
		switch {
		case err != nil || errRel != nil:
			return errors.Join(err, errRel)
		case d.IsDir() && d.Name() == "testdata":
			return filepath.SkipDir
		case d.IsDir():
			return os.MkdirAll(filepath.Join(to, rel), 0o777)
		case strings.HasSuffix(rel, "_test.go") || rel == filepath.Join("text", "latex.go"):
			return nil
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, rel), content, 0o666)
	})
	if err != nil {
		return err
	}
	fonts, err := os.ReadFile(filepath.Join(".ci", "twofonts.go.txt"))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(to, "font", "liberation", "liberation.go"), fonts, 0o666)
}

func output(c *exec.Cmd) ([]byte, error) {
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		err = fmt.Errorf("%s: %w", c, err)
	}
	return out, err
}
