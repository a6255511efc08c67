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
an API that does the same. It listens on this computer only and prints the
address to open. Nothing is downloaded: no network is needed.

--lan opens it to the local network, so that a phone can reach it. It then asks for
an access code, new at every start: type it, or point the phone's camera at the QR
code. --tls encrypts, with a certificate made at the start. Your browser will warn
about this certificate; continue only if the fingerprint that it shows matches the
printed one. Browsers let a page record only with --tls or on this computer.

Recordings are kept in the folder for temporary files, for an hour at most, and are
deleted when the server ends. Only what is stored in the book stays. Ctrl-C ends the
server.`
	serveExample = `  topnote serve
  topnote serve --lan --tls
  topnote serve --listen 127.0.0.1:9000 --book workshop.sqlite`

	flagLAN    = "allow devices on the local network (access code required)"
	flagTLS    = "encrypt, with a certificate made at the start"
	flagListen = "`HOST:PORT` to listen on; by default 127.0.0.1:8637, with --lan all addresses"
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
		fmt.Fprintf(&b, "Access code: %s (new at every start; whoever has it can use the page and the book)\n", p.Code)
	}
	if p.Fingerprint != "" {
		fmt.Fprintf(&b, "Certificate, SHA-256:\n%s\n", inLines(p.Fingerprint))
		b.WriteString("Your browser will warn about this certificate. Continue only if the fingerprint matches.\n")
	}
	if p.Code != "" && !secure {
		b.WriteString("Not encrypted: others on this network could listen in, and phones do not let the page record. Use --tls.\n")
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
