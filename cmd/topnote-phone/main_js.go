// Command topnote-phone is the program of topnote page: with the path below which the
// pages are as its only argument it answers their requests inside a browser.
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
