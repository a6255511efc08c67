package main

import (
	"bytes"
	"errors"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// shortPass is a recording that is measured in no time.
func shortPass() map[string][]byte { return file("x.wav", goodWAV()) }

// input gives the program this on standard input.
func input(r io.Reader) func(*rig) { return func(g *rig) { g.cmd.Stdin = r } }

// nobody runs the program as a user who may not write in the
// folder; what else he may not do, refuse says.
func nobody(refuse func(folder string) error) func(*rig) {
	return func(g *rig) {
		err := refuse(g.folder)
		if os.Geteuid() == 0 {
			err = errors.Join(err, hideFrom(g.cmd, g.folder))
		} else {
			err = errors.Join(err, os.Chmod(g.folder, 0o555))
			g.Cleanup(func() { os.Chmod(g.folder, 0o755) })
		}
		if err != nil {
			g.Skip("this system cannot take rights away:", err)
		}
	}
}

// hideFrom runs a command of the superuser, from whom nothing is hidden, as
// nobody, who can still get to the folder and to the program.
func hideFrom(cmd *exec.Cmd, folder string) error {
	var err error
	for dir := folder; dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		err = errors.Join(err, os.Chmod(dir, 0o755))
	}
	return errors.Join(err, os.Chmod(filepath.Dir(program), 0o755), asNobody(cmd))
}

// only changes the rights of one file.
func only(name string, mode os.FileMode) func(string) error {
	return func(folder string) error { return os.Chmod(filepath.Join(folder, name), mode) }
}

// silentPipe makes a named pipe that nobody writes to, and gives its path.
func silentPipe(g *rig, name string) string {
	path := filepath.Join(g.folder, name)
	if err := makePipe(path); err != nil {
		g.Skip("this system has no named pipes:", err)
	}
	return path
}

// pipe makes a named pipe that somebody writes text to, and then runs more.
func pipe(name string, text []byte, more func(*rig)) func(*rig) {
	return func(g *rig) {
		path := silentPipe(g, name)
		written := make(chan struct{})
		go func() {
			defer close(written)
			f, err := os.OpenFile(path, os.O_WRONLY, 0) // waits for the reader
			if err != nil {
				return
			}
			if more != nil {
				more(g)
			}
			f.Write(text) // the reader may have had enough
			f.Close()
		}()
		g.Cleanup(func() { <-written })
	}
}

// device skips where a device is missing.
func device(path string) func(*rig) {
	return func(g *rig) {
		if _, err := os.Stat(path); err != nil {
			g.Skip("this system has no", path)
		}
	}
}

// mountDisk mounts an empty disk in memory at a folder of the rig and gives its
// path.
func mountDisk(g *rig, name, options string) string {
	folder := filepath.Join(g.folder, name)
	if err := os.Mkdir(folder, 0o777); err != nil {
		g.Fatal(err)
	}
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", options, "topnote-test", folder).CombinedOutput(); err != nil {
		g.Skipf("no disk can be mounted here: %v %s", err, bytes.TrimSpace(out))
	}
	g.Cleanup(func() {
		if out, err := exec.Command("umount", folder).CombinedOutput(); err != nil {
			g.Errorf("%v %s", err, out)
		}
	})
	return folder
}

// fullDisk mounts a disk at "full" that has no room left.
func fullDisk(g *rig) {
	f, err := os.Create(filepath.Join(mountDisk(g, "full", "size=16k,mode=777"), "filler"))
	if err != nil {
		g.Fatal(err)
	}
	defer f.Close()
	for err == nil {
		_, err = f.Write(make([]byte, 1024))
	}
}

// readOnlyDisk mounts a disk at "locked" with a book that cannot be written.
func readOnlyDisk(g *rig) {
	folder := mountDisk(g, "locked", "size=1m,mode=777")
	if out, err := exec.Command(program, "book", "machine", "add", "saw", "--book", filepath.Join(folder, "b")).CombinedOutput(); err != nil {
		g.Fatalf("%v %s", err, out)
	}
	if out, err := exec.Command("mount", "-o", "remount,ro", folder).CombinedOutput(); err != nil {
		g.Fatalf("%v %s", err, out)
	}
}

// endless never stops.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(i)
	}
	return len(p), nil
}

func badStreams() []badInput {
	head := wavOf(format(tagPCM, 1, 4000, 8), lying("data", nil, 0xffffffff))
	return []badInput{
		{what: "standard input that is empty", args: "measure -", rig: input(strings.NewReader("")), want: failed, says: "the file is empty"},
		{what: "standard input that is text", args: "measure -", rig: input(strings.NewReader("hello, is this thing on?")), want: failed, says: "not a sound recording"},
		{what: "standard input that closes in the middle", args: "measure -", rig: input(bytes.NewReader(goodWAV()[:40])), want: failed, says: "before its sound begins"},
		{what: "sound without end on standard input", args: "measure -", rig: input(io.MultiReader(bytes.NewReader(head), endless{})), want: failed, says: "the recording is longer than 120 minutes"},
		{what: "a list of remarks without end on standard input", args: "measure -",
			rig: input(io.MultiReader(bytes.NewReader(wavOf(lying("LIST", nil, 0xffffffff))), endless{})), want: failed, says: "; "},
		{what: "a device that gives nothing", args: "measure /dev/null", rig: device("/dev/null"), want: failed, says: "the file is empty"},
		{what: "a device that gives zeros without end", args: "measure /dev/zero", rig: device("/dev/zero"), want: failed, says: "not a sound recording"},
		{what: "a named pipe that nothing writes to", args: "measure x.wav", rig: func(g *rig) { silentPipe(g, "x.wav") }, want: failed, says: "no program has written to it"},
		{what: "a named pipe that closes at once", args: "measure x.wav", rig: pipe("x.wav", nil, nil), want: failed, says: "the file is empty"},
		{what: "a named pipe that closes in the head", args: "measure x.wav", rig: pipe("x.wav", goodWAV()[:20], nil), want: failed, says: "before its sound begins"},
		{what: "a recording that vanishes before its turn", args: "compare first.wav second.wav",
			rig: func(g *rig) {
				g.cmd.Env = append(g.cmd.Env, "GOMAXPROCS=1") // one at a time
				path := filepath.Join(g.TempDir(), "second.wav")
				if err := os.WriteFile(path, goodWAV(), 0o644); err != nil {
					g.Fatal(err)
				}
				link(path, "second.wav")(g)
				pipe("first.wav", goodWAV(), func(*rig) { os.Remove(path) })(g)
			}, want: failed, says: "there is no such file"},
		{what: "a link to nothing", args: "measure x.wav", rig: link("none.wav", "x.wav"), want: failed, says: "there is no such file"},
		{what: "a link to itself", args: "measure x.wav", rig: link("x.wav", "x.wav"), want: failed, says: "; "},
		{what: "a recording that may not be read", args: "measure x.wav", files: shortPass(), rig: nobody(only("x.wav", 0)), want: failed, says: "permission is missing"},
		{what: "a folder that may not be read", args: "measure passes", files: file("passes/x.wav", goodWAV()), rig: nobody(only("passes", 0o311)), want: failed, says: "could not be read"},
	}
}

func link(to, name string) func(*rig) {
	return func(g *rig) {
		if err := os.Symlink(to, filepath.Join(g.folder, name)); err != nil {
			g.Skip("this system makes no links:", err)
		}
	}
}

// printTo lets the program print to a device.
func printTo(path string) func(*rig) {
	return func(g *rig) {
		device(path)(g)
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			g.Skip("this system lets nobody write to", path)
		}
		g.cmd.Stdout = f
		g.Cleanup(func() { f.Close() })
	}
}

// taken holds the place at which the program is asked to listen.
func taken(g *rig) {
	l, err := net.Listen("tcp", takenPlace)
	if err != nil {
		g.Skip("somebody else listens there:", err)
	}
	g.Cleanup(func() { l.Close() })
}

// takenPlace is in the range that no program is registered for.
const takenPlace = "127.0.0.1:58637"

func badServers() []badInput {
	serve := func(what, flags, says string) badInput {
		return badInput{what: what, args: "serve " + flags, want: wrongUsage, says: says}
	}
	return []badInput{
		serve("a server at no address", "--listen nowhere", "is no address to listen on"),
		serve("a server at an address without a port", "--listen 127.0.0.1:", "is no address to listen on"),
		serve("a server at port 99999", "--listen 127.0.0.1:99999", "is no address to listen on"),
		serve("a server at port NaN", "--listen 127.0.0.1:NaN", "is no address to listen on"),
		serve("a server open to others without a code", "--listen 0.0.0.0:58638", "add --lan, or listen on 127.0.0.1"),
		serve("a server with a word too many", "now", "is one word too many"),
		{what: "a server where another listens", args: "serve --listen " + takenPlace, rig: taken, want: failed, says: "; "},
		{what: "a server at an address of another machine", args: "serve --listen 192.0.2.1:58639 --lan", want: failed, says: "; "},
		{what: "a server with a letter for a book", args: "serve --listen 127.0.0.1:58640 --book b", files: file("b", []byte("This is a letter.")), want: failed, says: "is not a book"},
	}
}

func badPlaces() []badInput {
	measured := func(what, flags string, rig func(*rig), want status, says string) badInput {
		return badInput{what: what, args: "measure x.wav " + flags, files: shortPass(), rig: rig, want: want, says: says}
	}
	cases := []badInput{
		measured("a result into a folder that is not there", "--out none/result.txt", nil, failed, `"none/result.txt" cannot be written`),
		measured("a result below a file", "--out x.wav/result.txt", nil, failed, "cannot be written"),
		measured("a result over the recording", "--out x.wav", nil, wrongUsage, "would write over another file"),
		measured("a picture and a result in one file", "--plot x.svg --out x.svg", nil, wrongUsage, "would write over another file"),
		measured("a result onto a device", "--out /dev/null", device("/dev/null"), wrongUsage, "exists and is not a file"),
		measured("a result of a name that is too long", "--out "+tooLong, nil, failed, "cannot be written"),
		{what: "a picture into a folder that is not there", args: "measure x.wav --plot none/pass.png", files: shortPass(), want: failed, says: "cannot be written", still: true},
		measured("a summary into a folder that is not there", "--out result.txt --summary none/all.csv", nil, failed, "cannot be written"),
		measured("a result into a folder of somebody else", "--out result.txt", nobody(func(string) error { return nil }), failed, "cannot be written: permission denied"),
		measured("a folder of results in a folder of somebody else", "--out results/", nobody(func(string) error { return nil }), failed, "cannot be written: permission denied"),
		measured("a result onto a full disk", "--out full/result.txt", fullDisk, failed, "no space left"),
		{what: "a picture onto a full disk", args: "measure x.wav --plot full/pass.png", files: shortPass(), rig: fullDisk, want: failed, says: "no space left", still: true},
		measured("a page onto a full disk", "--format html --out full/pass.html", fullDisk, failed, "no space left"),
		{what: "samples onto a full disk", args: "sample --out full", rig: fullDisk, want: failed, says: "no space left"},
		{what: "samples into a file", args: "sample --out x", files: file("x", []byte("x")), want: failed, says: "cannot be written"},
		{what: "a comparison into a folder", args: "compare x.wav y.wav --out .", files: map[string][]byte{"x.wav": goodWAV(), "y.wav": goodWAV()}, want: wrongUsage, says: "exists and is not a file"},
		{what: "the air onto a full device", args: "air --temp 20 --altitude 100", rig: printTo("/dev/full"), want: failed, says: "could not be printed: no space left"},
		measured("a result printed to a full device", "", printTo("/dev/full"), failed, "could not be printed: no space left"),
		{what: "a book onto a full disk", args: "book machine add saw --book full/book", rig: fullDisk, want: failed, says: "full"},
	}
	cases = append(cases, badServers()...)
	if runtime.GOOS == "windows" {
		return nil // other names, other words
	}
	return cases
}
