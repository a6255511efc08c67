package offline_test

import (
	"slices"
	"strings"
	"testing"
)

// watchFigure notes in the frame how late each figure of the live view is when it is
// drawn, and what was warned of.
const watchFigure = `const w = d.defaultView, speed = d.getElementById("speed"), warn = d.getElementById("warn");
	w.late = []; w.warned = "";
	new w.MutationObserver(() => w.late.push(Number(speed.dataset.late))).observe(speed, { attributes: true, attributeFilter: ["data-late"] });
	new w.MutationObserver(() => { w.warned += warn.textContent; }).observe(warn, { childList: true })`

// TestPhoneLive listens with the host gone to the browser's microphone, which plays a
// pass over the limit: the figure, the warning and the row of the opening, as from a
// server, and how late the figure is.
// No other test of this package runs meanwhile.
func TestPhoneLive(t *testing.T) {
	address, stop := host(t)
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.open(address)
	stop()
	p.visit("/live")
	p.act(watchFigure + `; d.getElementById("limit").value = "13500"; d.getElementById("listen").click()`)
	p.until(inFrame(`/^1[34],\d\d0$/.test(d.getElementById("speed").textContent)`))
	// The microphone plays the pass again and again, and of one a busy machine may lose a part.
	p.until(inFrame(`[...d.querySelectorAll("#row-list tr")].some((r) => /14,1.*over-limit/.test(r.textContent))`))
	if warned := eval[string](p, inFrame(`d.defaultView.warned`)); !strings.Contains(warned, "Over the limit: let go") {
		t.Errorf("at 14,100 rpm and a limit of 13,500 it warned %q", warned)
	}
	late := eval[[]float64](p, inFrame(`d.defaultView.late.filter((v) => !Number.isNaN(v))`))
	if len(late) < 20 {
		t.Fatalf("the figure changed %d times", len(late))
	}
	slices.Sort(late)
	t.Logf("| from the sound at the microphone to the figure | %.0f ms, nine in ten within %.0f |", late[len(late)/2], late[len(late)*9/10])
	if late[0] < 0 {
		t.Errorf("a figure came %.0f ms before its sound", -late[0])
	}
	p.act(`d.getElementById("listen").click()`)
	p.until(inFrame(`d.getElementById("listen").textContent === "Listen"`))
	if eval[bool](p, inFrame(`d.getElementById("speed").checkVisibility()`)) {
		t.Error("after the end a speed is shown")
	}
	if says := p.seen.all(); says != "" {
		t.Errorf("the browser complains: %s", says)
	}
	p.refuses()
	p.followsMachine()
}

// refuses listens for a machine that nobody can have: the program's sentence is shown.
func (p phone) refuses() {
	p.Helper()
	p.act(`d.getElementById("limit").value = "13.500"; d.getElementById("listen").click()`)
	p.until(inFrame(`d.getElementById("live-problem").textContent`))
	if says := p.text("#live-problem"); !strings.Contains(says, "13.500") {
		p.Errorf("a limit of 13.500 is refused with %q", says)
	}
	p.until(inFrame(`d.getElementById("listen").textContent === "Listen"`))
}

// followsMachine listens for a machine of the book with nothing else entered. Its limit is
// known to the program of the pages alone, which hands the machine to that of the live view.
func (p phone) followsMachine() {
	p.Helper()
	p.enter("bench saw")
	p.visit("/live")
	p.act(watchFigure + `; d.getElementById("machine").value = "bench saw"; d.getElementById("listen").click()`)
	p.until(inFrame(`d.defaultView.warned.includes("Over the limit: let go")`))
	p.until(inFrame(`[...d.querySelectorAll("#row-list tr")].some((r) => /14,1.*over-limit/.test(r.textContent))`))
	p.act(`d.getElementById("listen").click()`)
	p.until(inFrame(`d.getElementById("listen").textContent === "Listen"`))
	if says := p.text("#live-problem"); says != "" {
		p.Errorf("listening for a machine of the book says %q", says)
	}
}
