// Package phone is the server's pages without a server: the same handlers, answered
// inside a browser, for one person and without a network.
//
// A service worker of the browser takes the requests of the pages and hands them to
// this program, which runs as WebAssembly in a worker beside them (package offline
// has those scripts). What only a server needs is left out: access codes,
// certificates, limits on others. Recordings and results stay in memory until the
// page is closed; the book stays in the private files that the browser keeps for the
// page. Start with New, then Answer.
//
// Sources: W3C Service Workers; MDN on OPFS.
package phone
