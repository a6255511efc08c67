// Package policy is the safety headers of every answer: what a browser may load and
// run for a page of ours, and that nobody else may show or keep it.
//
// Sources: W3C Content Security Policy Level 3; OWASP Secure Headers Project.
package policy

import "net/http"

// The content policy of the page: its own scripts, styles and sounds, and nothing
// from anywhere else.
const content = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"media-src 'self' blob:; connect-src 'self'; font-src 'self'; worker-src 'self'; manifest-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors "

// Frames says who may show a page inside another one.
type Frames struct{ content, options string }

// Nobody may, or only pages of the same origin.
var (
	Nobody     = Frames{"'none'", "DENY"}
	SameOrigin = Frames{"'self'", "SAMEORIGIN"}
)

// Set keeps an answer private to the browser. A handler may replace the policy by a
// narrower one.
func Set(h http.Header, f Frames) {
	h.Set("Content-Security-Policy", content+f.content)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", f.options)
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "microphone=(self), camera=(), geolocation=(), payment=(), usb=()")
	h.Set("Cache-Control", "no-store")
}
