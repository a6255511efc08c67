package main

import (
	"runtime"
	"runtime/debug"
	"testing"
)

func TestMakeRoomKeepsNothing(t *testing.T) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	makeRoom()
	runtime.ReadMemStats(&after)
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 1<<20 {
		t.Errorf("%d bytes of the heap are in use after room was made", grown)
	}
	if percent := runtimePercent(); percent < 0 {
		t.Error("the heap is not collected any more")
	}
}

// runtimePercent is the growth of the heap to its next collection; negative: there is none.
func runtimePercent() int {
	percent := debug.SetGCPercent(100)
	debug.SetGCPercent(percent)
	return percent
}
