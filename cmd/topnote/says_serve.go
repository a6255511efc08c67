package main

import (
	"fmt"
	"io"
	"strings"

	"topnote/internal/web/access"
)

// Every sentence of the serve command that a user can read.
const (
	serveShort = "Serve the web page and its API"
	serveLong  = `Serve a page on which recordings are measured, compared and kept in the book, and
an API that does the same. It listens on this computer alone and prints the
address to open. Everything is part of the program: no network is needed.

--lan opens it to the local network, so that a phone can reach it. Then an access
code is asked for, a new one each time: type it, or point the phone's camera at
the QR code. --tls encrypts with a certificate made on the spot. The browser will
warn that nobody vouches for it; hold the fingerprint that it shows against the
printed one. Browsers let a page record only with --tls or on this computer.

Recordings stay in a folder of their own below the one for temporary files, for an
hour at most, and are gone when the server ends. Only what is stored in the book
stays. Ctrl-C ends the server.`
	serveExample = `  topnote serve
  topnote serve --lan --tls
  topnote serve --listen 127.0.0.1:9000 --book workshop.sqlite`

	flagLAN    = "let others in the local network in, who have the access code"
	flagTLS    = "encrypt, with a certificate made on the spot"
	flagListen = "`HOST:PORT` to listen on; without it 127.0.0.1:8637, with --lan all addresses"
)

// saysServing says where the server is found.
func saysServing(w io.Writer, p access.Place, secure bool) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Topnote is at %s\n", p.URLs[0])
	for _, other := range p.URLs[1:] {
		fmt.Fprintf(&b, "       and at %s\n", other)
	}
	if p.Code == "" {
		b.WriteString("Open it in a browser on this computer.\n")
	} else {
		fmt.Fprintf(&b, "Access code: %s (anew each time; whoever has it can use the page and the book)\n", p.Code)
	}
	if p.Fingerprint != "" {
		fmt.Fprintf(&b, "Certificate, SHA-256:\n%s\n", inLines(p.Fingerprint))
		b.WriteString("The browser warns of it, since nobody vouches for it. Go on only if it shows the same figures.\n")
	}
	if p.Code != "" && !secure {
		b.WriteString("Not encrypted: others in this network could listen in, and phones do not let the page record. --tls helps.\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// inLines breaks a fingerprint in two, so that it can be compared.
func inLines(fingerprint string) string {
	half := len(fingerprint) / 2
	return "  " + fingerprint[:half] + "\n  " + strings.TrimPrefix(fingerprint[half:], ":")
}

func saysStop(w io.Writer) error {
	_, err := io.WriteString(w, "Ctrl-C ends it.\n")
	return err
}
