package clip

import (
	"bytes"
	"errors"
	"syscall"
	"testing"
)

// TestFullDisk: a disk that is full is said in words.
func TestFullDisk(t *testing.T) {
	small := t.TempDir()
	if err := syscall.Mount("tmpfs", small, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("a small disk cannot be made: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(small, 0); err != nil {
			t.Error(err) // also when a file on it is still open
		}
	})
	t.Setenv("TMPDIR", small)
	_, err := collect(bytes.NewReader(loudFile()), "-", longOptions())
	var p *Problem
	if !errors.As(err, &p) || p.Code != CodeNoRoom || !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("got %v", err)
	}
}
