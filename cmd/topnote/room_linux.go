package main

import (
	"runtime"
	"runtime/debug"
	"sync"
	"syscall"
)

// room is about what a minute of sound takes of the heap.
const room = 48 << 20 // bytes

// makeRoom has what is measured find its memory in large pages, where the system lends
// them: asking for small ones, one by one, takes a twentieth of its time. The memory is
// marked and given back to the heap, which takes from there first; none of it is touched,
// so it costs nothing until it is used. Where there are no large pages, nothing changes.
var makeRoom = sync.OnceFunc(func() {
	percent := debug.SetGCPercent(-1) // no collection before the one below
	marked := make([]byte, room)
	_ = syscall.Madvise(marked, syscall.MADV_HUGEPAGE) // an error: there are none
	runtime.KeepAlive(marked)
	debug.SetGCPercent(percent)
	runtime.GC()
})
