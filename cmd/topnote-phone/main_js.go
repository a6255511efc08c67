// Command topnote-phone is the program of topnote page: it answers the requests of
// the pages inside a browser. Its only argument is the path below which they are.
package main

import (
	"os"

	"topnote/internal/web/phone"
)

// release is the version, set by the linker.
var release = "development"

func main() {
	base := ""
	if len(os.Args) > 1 {
		base = os.Args[1]
	}
	phone.Answer(phone.New(phone.Config{Book: "/book.sqlite", Version: release, Base: base, Log: os.Stderr}))
}
