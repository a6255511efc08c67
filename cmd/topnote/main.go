// Command topnote measures small engines from recordings of their sound.
//
// It parses the command line, calls the packages that do the work and prints
// their results; every figure and sentence of a result comes from them.
package main

import (
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// The heap is collected when it has grown by so much: by growth bytes while no more than
// small are in use, by leastPercent where more are. Nearly all of it is slices of numbers without
// pointers, so collecting twenty times as often as usual costs a long sound little time
// (docs/performance.md), and needs a third less memory for an hour; a short one is done
// after a few collections.
const (
	growth       = 16 << 20 // bytes
	small        = 32 << 20 // bytes
	least        = 4 << 20  // bytes: a smaller heap counts as so much
	leastPercent = 5
)

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(100 * growth / least)
		runtime.SetFinalizer(new(collected), paceCollections)
	}
	status := run(untilInterrupted(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	os.Exit(int(status))
}

// collected is something that every collection of the heap finds unused.
type collected struct{ _ [64]byte }

// paceCollections sets the growth to the next collection, and is called again after that.
func paceCollections(c *collected) {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	percent := leastPercent
	if n := live[0].Value.Uint64(); n < small {
		percent = int(100 * growth / max(n, least))
	}
	debug.SetGCPercent(percent)
	runtime.SetFinalizer(c, paceCollections)
}
