package book

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// FuzzOpen spoils and cuts the file of a book: whatever it then is, each thing
// that is done with it works or says in one sentence why not.
func FuzzOpen(f *testing.F) {
	path := filepath.Join(f.TempDir(), "seed.sqlite")
	b, err := Create(path)
	if err != nil {
		f.Fatal(err)
	}
	errMachine := b.AddMachine(madeMachine("saw"))
	_, errPass := b.AddPass(madePass("saw", "a", 1, 12500), false)
	if err := errors.Join(errMachine, errPass, b.Close()); err != nil {
		f.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	const page = 4096
	for _, at := range []int{0, 16, 60, 68, 100, page, page + 8, 2 * page, len(whole) - 200} {
		f.Add(uint32(at), []byte{0xff, 0, 0x7f}, uint32(len(whole)))
		f.Add(uint32(at), []byte{}, uint32(at))
	}
	spoiled := filepath.Join(f.TempDir(), "spoiled.sqlite")
	f.Fuzz(func(t *testing.T, at uint32, patch []byte, size uint32) {
		file := bytes.Clone(whole)
		copy(file[min(int(at), len(file)):], patch)
		file = file[:min(int(size), len(file))]
		for _, left := range []string{"", "-wal", "-shm"} {
			if err := os.RemoveAll(spoiled + left); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.WriteFile(spoiled, file, 0o600); err != nil {
			t.Fatal(err)
		}
		use(t, spoiled)
	})
}

// use does with a book what the program does with one.
func use(t *testing.T, path string) {
	t.Helper()
	b, err := Open(path)
	if err != nil {
		oneSentence(t, err)
		return
	}
	defer b.Close() // what is wrong has shown by then
	_, errMachines := b.Machines()
	_, errPasses := b.Passes("")
	errExport := b.Export(&bytes.Buffer{})
	_, errAdd := b.AddPass(madePass("saw", "b", 2, 12400), false)
	for _, err := range []error{errMachines, errPasses, errExport, errAdd} {
		var p *Problem
		if err != nil && !errors.As(err, &p) {
			t.Errorf("%v is no Problem", err)
		}
		if err != nil {
			oneSentence(t, err)
		}
	}
}
