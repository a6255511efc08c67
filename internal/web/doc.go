// Package web serves the whole job in a browser: a page for people and an API
// for programs, from one binary, without a network beyond the one it listens on.
//
// A clip that is sent in becomes a job. It takes a seat before its first byte is
// read, waits in a short queue, is measured by one of as many workers as there
// are cores, and its result stays in memory, its bytes in a private folder, until
// an hour has passed or the server stops. Where all seats are taken the answer
// is "busy", at once; nothing grows with the number of those who ask. The page
// (page.go and what is below it) and the API (api_*.go) are two faces of the same
// jobs and the same book.
//
// Everything that comes in is taken for hostile until it is known: guard.go looks
// at where a request is from and what it is called by, access.go asks for the
// code where others than this machine can reach the server, upload.go takes the
// bytes under names of its own, with limits on size, pace and time. Start with New
// and Server.Run.
//
// Not done: no accounts, no lists of other people's clips; whoever has the id of
// a job, 128 bits by chance, may see it. Who may log in to this machine may reach
// a server on its loopback.
//
// Sources: W3C, Content Security Policy Level 3; W3C, Fetch Metadata Request
// Headers; RFC 9110 (HTTP); RFC 7578 (multipart/form-data); OWASP cheat sheets on
// cross-site request forgery and DNS rebinding (from memory).
package web
