// Command topnote-phone is the program of topnote page. With the path below which the
// pages are as its only argument it answers their requests inside a browser; with
// "listen" and what is listened to it follows an engine (phone.Listen).
package main

import (
	"os"

	"topnote/internal/web/phone"
)

// release is the version, set by the linker.
var release = "development"

func main() {
	if len(os.Args) == 3 && os.Args[1] == "listen" {
		phone.TellEnd(phone.Listen(os.Args[2]))
		return
	}
	base := ""
	if len(os.Args) > 1 {
		base = os.Args[1]
	}
	phone.Answer(phone.New(phone.Config{Book: "/book.sqlite", Version: release, Base: base, Log: os.Stderr}))
}
