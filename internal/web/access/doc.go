// Package access decides who may reach the server: where it listens, by which
// names it answers, whose pages may send requests, and who has the access code.
//
// Every request is taken for hostile until it has passed the Guard, which checks
// the name that it calls the server by, the page that it comes from and, where
// others than this machine can reach the server, the access code. Listen opens the
// listener, with a certificate made on the spot where one is wanted.
//
// Not done: accounts. Anybody who is logged in to this machine can reach a server
// on its loopback.
//
// Sources: W3C Content Security Policy 3; W3C Fetch Metadata; RFC 6750 (bearer
// tokens); RFC 9110 (HTTP); OWASP cheat sheets on cross-site request forgery and
// DNS rebinding.
package access
