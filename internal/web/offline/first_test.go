package offline_test

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
)

// behind are the files that the live view does not need: they come behind it.
var behind = []string{"topnote.bin", "sqlite3.js", "sqlite3.wasm", "licences.txt", "icon-192.png", "icon-512.png"}

// gate is a host that keeps some files back.
type gate struct {
	files http.Handler
	open  chan struct{} // closed: they come
	mu    sync.Mutex
	asked []string // for the others
}

// ServeHTTP implements http.Handler.
func (g *gate) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if name := strings.TrimPrefix(r.URL.Path, "/"); slices.Contains(behind, name) {
		<-g.open
	} else {
		g.mu.Lock()
		g.asked = append(g.asked, name)
		g.mu.Unlock()
	}
	g.files.ServeHTTP(w, r)
}

// TestPhoneListensFirst listens on the first visit while the host keeps back all that
// the live view does not need, and holds what came until then to what may come first.
// Then the rest comes: the row of the opening is measured, and all is kept.
func TestPhoneListensFirst(t *testing.T) {
	folder, _, stop := folderHost(t)
	stop()
	g := &gate{files: http.FileServer(http.Dir(folder)), open: make(chan struct{})}
	server := httptest.NewServer(http.StripPrefix(strings.TrimSuffix(below, "/"), g))
	t.Cleanup(server.Close)
	release := sync.OnceFunc(func() { close(g.open) })
	defer release()
	p, end := startPhone(t, t.TempDir())
	defer end()
	p.begin(server.URL + below + "#live")
	p.act(`d.getElementById("limit").value = "13500"; d.getElementById("listen").click()`)
	p.until(inFrame(`/^1[34],\d\d0$/.test(d.getElementById("speed").textContent)`))
	g.mu.Lock()
	asked := slices.Clone(g.asked)
	g.mu.Unlock()
	first := firstFiles(builtFiles(t))
	for _, name := range asked {
		if name != "" && !slices.Contains(first, name) {
			t.Errorf("before the first figure the browser asked for %s", name)
		}
	}
	if !slices.Contains(asked, "listen.bin") {
		t.Errorf("it asked for %q, and not for the program", asked)
	}
	if eval[bool](p, `"runs" in document.documentElement.dataset`) {
		t.Error("all of the program was there")
	}
	release()
	p.until(inFrame(`[...d.querySelectorAll("#row-list tr")].some((r) => /14,1.*over-limit/.test(r.textContent))`))
	p.until(`document.documentElement.dataset.kept`)
	if says := p.seen.all(); says != "" {
		t.Errorf("the browser complains: %s", says)
	}
}
