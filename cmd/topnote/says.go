package main

import (
	"fmt"
	"strconv"
)

// Every sentence of the command line that a user can read, but for those of the
// result itself.
const (
	rootShort = "Measure a small engine from a recording of its sound"
	rootLong  = `Topnote measures the shaft speed of a small engine from a phone recording,
tells four-stroking from clean running at full throttle, holds the top speed
against the maximum that you enter, and says what to do next.

It advises. The maker's handbook and local rules come first.`

	measureShort = "Measure recordings of an engine"
	measureLong  = `Measure one recording or several and print what was found. A lone - reads
standard input.

The maximum speed stands in the machine's handbook or on its plate; there is no
built-in one. Speeds are written in rpm: 13500 or 13,500.

Exit status: 0 measured; 1 failure; 2 wrong usage; 3 no engine, or not enough to
stand behind; 4 over or at the limit.`
	measureExample = `  topnote measure saw.wav --limit 13500 --idle 2800
  topnote measure saw.wav --limit 13,500 --format json --out saw.json
  topnote measure saw.wav --limit 13500 --plot saw.png`

	sampleShort = "Write the example passes, made by the program itself"
	sampleLong  = `Write the example passes as WAV files with a table of what is true of each.
They are made by calculation; no engine was recorded.`

	flagLimit     = "the maker's maximum speed at full throttle without load, rpm"
	flagIdle      = "the maker's idle speed, rpm"
	flagClutch    = "the speed at which the clutch engages, rpm"
	flagStrokes   = "`number` of strokes, 2 or 4"
	flagCylinders = "`number` of cylinders, 1 to 12"
	flagFormat    = "`form` of the result: text, json or csv"
	flagPlot      = "write a picture to this `file`, .png or .svg"
	flagPlotSize  = "`size` of the picture, width x height in cm"
	flagOut       = "write the result to this `file` instead of printing it"
	flagReply     = "print a short message to send to whoever sent the recording"
	flagSampleOut = "the `folder` to write to; it is made if it is not there"

	doHelp = "see topnote --help"
)

func quoted(value string) string { return strconv.Quote(value) }

func refuseNoClip() error {
	return &usage{"no recording was named", "name a file, or - for standard input"}
}

func refuseArgument(word string) error {
	return &usage{quoted(word) + " is one word too many", doHelp}
}

func refuseNoFolder() error {
	return &usage{"no folder was named", "name it with --out FOLDER"}
}

func refuseTwoInputs() error {
	return &usage{"standard input can be read only once", "name - only once"}
}

func refuseFormat(name string) error {
	if name == "html" || name == "vtt" {
		return &usage{"reports as " + name + " cannot be made yet", "use text, json or csv"}
	}
	return &usage{quoted(name) + " is not a form of the result", "use text, json or csv"}
}

func refusePlotName(path string) error {
	return &usage{"--plot: " + quoted(path) + " does not say which kind of picture is wanted", "end the name in .png or .svg"}
}

func refusePlotSize(size string) error {
	return &usage{quoted(size) + " is not a size of a picture", "write width x height in cm, 14x10 to 60x40, such as 18x13"}
}

func refuseMany(flag string) error {
	return &usage{flag + " is for one recording", "name one recording at a time with it"}
}

func refuseReply(format string) error {
	return &usage{"--reply is text and cannot be written as " + format, "leave out --format or --reply"}
}

func refuseSameFile(flag, path string) error {
	return &usage{flag + ": " + quoted(path) + " would write over another file of this command", "choose another name"}
}

func refuseNotAFile(path string) error {
	return &usage{quoted(path) + " is there and is not a file", "name a file to write to"}
}

func saysCannotPrint(err error) error {
	return fmt.Errorf("the result could not be printed: %w; see where the output goes, or use --out", err)
}

func saysCannotWrite(path string, err error) error {
	return fmt.Errorf("%s cannot be written: %w; choose a folder of your own with room on its disk", quoted(path), err)
}
