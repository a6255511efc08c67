package main

import "errors"

// Every sentence of the page command that a user can read.
const (
	pageShort = "Write the page as files that run on a phone alone"
	pageLong  = `Write a folder of files that any web server can serve as they are, over https.
Once opened on a phone with a network, the page stays there and needs neither
network nor computer from then on: it records, measures and compares, and keeps the
book on the phone. Nothing that you record or enter leaves the phone. The browser's
menu adds it to the home screen.

To renew it, write the files over the old ones: phones take the new version the
next time they have a network, whole or not at all. topnote serve has the same
files at /phone/.`
	pageExample = `  topnote page --out topnote-page`

	flagPageOut = "the `folder` to write to; it is made if it does not exist"
)

func saysNoPage() error {
	return errors.New("this topnote was built without the files for a phone; " +
		"use a released one, or in a checkout run go run .ci/page.go and then go run ./cmd/topnote page --out FOLDER")
}
