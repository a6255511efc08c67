package offline

import (
	"bytes"
	"mime"
	"net/http"
	"path"
	"time"
)

// policy is the content policy of these files, the one of their service worker.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self'; frame-src 'self'; " +
	"worker-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

// Handler serves the files; requests come without the folder's own path. The error is
// ErrNotBuilt, or one of the program.
func Handler() (http.Handler, error) {
	files, err := Files()
	if err != nil {
		return nil, err
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := r.URL.Path
		if name == "" {
			name = "index.html"
		}
		content, ok := files[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("Cache-Control", "no-cache")
		switch kind := path.Ext(name); kind {
		case ".webmanifest":
			h.Set("Content-Type", "application/manifest+json")
		case ".bin":
			h.Set("Content-Type", "application/octet-stream")
		default:
			h.Set("Content-Type", mime.TypeByExtension(kind))
		}
		http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(content))
	}), nil
}
