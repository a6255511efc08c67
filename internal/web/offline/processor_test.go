package offline_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// processorTime gives the processor time of this test's browsers since they started:
// of all processes below this one, as Linux has it in /proc. Source: proc(5).
func processorTime(t *testing.T) time.Duration {
	t.Helper()
	const tick = time.Second / 100 // of user time, USER_HZ
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	parents, times := map[int]int{}, map[int]int{}
	for _, path := range stats {
		text, err := os.ReadFile(path)
		if err != nil {
			continue // it has ended meanwhile
		}
		_, after, _ := strings.Cut(string(text), ") ") // behind the name, which may hold blanks
		f := strings.Fields(after)
		pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(path)))
		parents[pid], _ = strconv.Atoi(f[1])
		user, _ := strconv.Atoi(f[11])
		system, _ := strconv.Atoi(f[12])
		times[pid] = user + system
	}
	if len(stats) == 0 {
		t.Skip("there is no /proc here")
	}
	sum := 0
	for pid, ticks := range times {
		for at := parents[pid]; at > 1; at = parents[at] {
			if at == os.Getpid() {
				sum += ticks
				break
			}
		}
	}
	return time.Duration(sum) * tick
}
