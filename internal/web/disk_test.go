package web

import (
	"bytes"
	"fmt"
	"net/http"
	"os"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"topnote/internal/web/fault"
	"topnote/internal/web/jobs"
)

// smallDisk is a folder on a disk with room for so many bytes in all, written as a
// full disk is: what fits, then ENOSPC.
type smallDisk struct {
	jobs.Files
	room atomic.Int64
}

func (d *smallDisk) Create(name string) (jobs.File, error) {
	f, err := d.Files.Create(name)
	return &smallFile{f, d}, err
}

type smallFile struct {
	jobs.File
	disk *smallDisk
}

func (f *smallFile) Write(p []byte) (int, error) {
	if left := f.disk.room.Add(-int64(len(p))); left < 0 {
		f.disk.room.Add(int64(len(p)))
		return 0, &os.PathError{Op: "write", Path: "/secret/folder", Err: syscall.ENOSPC}
	}
	return f.File.Write(p)
}

// TestFullDisk sends a recording to a server whose disk fills up meanwhile, and one
// whose sound finds no room: both get 503 with one sentence, nothing is left, and
// with room again all goes on.
func TestFullDisk(t *testing.T) {
	disk := new(smallDisk)
	x := serve(t, func(c *Config) {
		folder, err := jobs.OpenFolder(c.Temp)
		if err != nil {
			t.Fatal(err)
		}
		disk.Files = folder
		c.files = disk
	})
	var noted notes
	x.log.SetOutput(&noted)
	recording := excerpt(t, "rich")
	wantFull := func(a answered) {
		t.Helper()
		a.want(t, http.StatusServiceUnavailable)
		if code := a.fault(t); code != fault.CodeDisk || a.Header.Get("Retry-After") != "60" {
			t.Errorf("%q, to be tried again after %q s", code, a.Header.Get("Retry-After"))
		}
		if !strings.Contains(string(a.body), "the server's disk for recordings is full") || bytes.Contains(a.body, []byte("secret")) {
			t.Errorf("it says %s", a.body)
		}
		if text := noted.String(); !strings.Contains(text, "/secret/folder: no space left on device") {
			t.Errorf("its owner reads %q", text)
		}
	}

	disk.room.Store(int64(len(recording)) / 2)
	wantFull(x.post("/api/v1/clips?wait=1", recording))
	wantEmptyStore(t, x.Server)

	disk.room.Store(int64(len(recording)) + 1000)
	a := x.post("/api/v1/clips?wait=1", recording).want(t, http.StatusOK)
	path := a.Header.Get("Location")
	wantFull(x.get(path + "/audio?form=wav"))
	x.get(path+"/audio").want(t, http.StatusOK)

	disk.room.Store(1 << 30)
	sound := x.get(path+"/audio?form=wav").want(t, http.StatusOK)
	if !bytes.HasPrefix(sound.body, []byte("RIFF")) {
		t.Errorf("the sound begins with %.4q", sound.body)
	}
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// TestDiskFails has the disk fail for another reason than its size: that is said,
// too, and not taken for a fault of the program.
func TestDiskFails(t *testing.T) {
	x := serve(t, func(c *Config) { c.files = brokenDisk{} })
	x.log.SetOutput(new(notes))
	a := x.post("/api/v1/clips", []byte("x")).want(t, http.StatusServiceUnavailable)
	if code := a.fault(t); code != fault.CodeDisk || !strings.Contains(string(a.body), "cannot write to its disk") {
		t.Errorf("%q: %s", code, a.body)
	}
}

type brokenDisk struct{}

func (brokenDisk) Create(string) (jobs.File, error) { return nil, fmt.Errorf("web: %w", syscall.EIO) }
func (brokenDisk) Open(string) (jobs.File, error)   { return nil, syscall.EIO }
func (brokenDisk) Remove(string) error              { return syscall.EIO }
func (brokenDisk) Close() error                     { return nil }
