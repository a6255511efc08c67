package web

import "net/http"

// routePages puts the page on a mux.
func (s *Server) routePages(mux *http.ServeMux) {
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", typeText)
		_, _ = w.Write([]byte("Topnote\n"))
	})
}
