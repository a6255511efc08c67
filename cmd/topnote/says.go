package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"topnote/internal/report"
)

// Every sentence of the command line that a user can read, but for those of the
// result itself.
const (
	rootShort = "Measure a small engine from a recording of its sound"
	rootLong  = `Topnote measures the shaft speed of a small engine from a phone recording,
tells four-stroking from clean running at full throttle, holds the top speed
against the maximum that you enter, and says what to do next.

This is advice. The maker's handbook and local rules come first.`

	measureShort = "Measure recordings of an engine"
	measureLong  = `Measure one recording or many and print the verdict, the top speed and the first
thing to do; --full prints everything. A folder stands for the recordings in it and
below it, a pattern such as "*.wav" for the files that match it, and a lone - for
standard input. After many recordings a table of all follows, the most dangerous
first.

With --out FOLDER each recording gets a file of its own: name a folder that exists,
a name ending in /, or, for several recordings, a name without an extension.
--format json prints one report a line.

The maximum speed is in the machine's handbook or on its rating plate; none is built
in. Write speeds in rpm: 13500 or 13,500.

What the machine is decides the verdict: --kind, --governor and the others. Leave out
what you do not know; where it would change the verdict, the verdict says so.
--warm, --choke-open and --filter-clean say how the machine was for this pass.

Exit status: 0 measured; 1 failure; 2 wrong usage; 3 no engine, or not enough to
judge; 4 over or at the limit. Of several, 4 goes before 1 and 1 before 3.`
	measureExample = `  topnote measure saw.wav --limit 13500 --idle 2800
  topnote measure saw.wav --limit 13,500 --format html --out saw.html
  topnote measure saw.wav --limit 13500 --plot saw.png --plot-size 24x16
  topnote measure passes --limit 13500 --format html --out reports --summary all.csv`

	compareShort = "Compare passes of one machine"
	compareLong  = `Compare up to six passes of one machine with the first of them, and print the
conclusion and the figures that differ; --full prints every figure and what a
difference can come from. The picture shows the speeds from the opening of the
throttle on, and below them the orders in the sound of each plateau: an engine that
four-strokes has lines at half orders.

Exit status: as measure, of all passes together.`
	compareExample = `  topnote compare good.wav today.wav --limit 13500
  topnote compare good.wav today.wav --limit 13500 --plot both.png
  topnote compare good.wav today.wav --limit 13500 --format html --out both.html`

	sampleShort = "Write the example passes, made by the program itself"
	sampleLong  = `Write the example passes as WAV files, with a table of what is true of each.
They are calculated; no engine was recorded.`

	completionShort = "Write a script that completes command lines in a shell"
	completionLong  = `Write a script after which the shell completes commands, flags, their values, and
the machines and passes of the book, when Tab is pressed. SHELL is bash, zsh, fish
or powershell. In bash, the package bash-completion must be installed.`
	completionExample = `  topnote completion bash > ~/.local/share/bash-completion/completions/topnote
  topnote completion zsh > "${fpath[1]}/_topnote"
  topnote completion fish > ~/.config/fish/completions/topnote.fish
  topnote completion powershell >> $PROFILE`

	flagLimit          = "the maker's maximum speed at full throttle without load, rpm"
	flagIdle           = "the maker's idle speed, rpm"
	flagClutch         = "the speed at which the clutch engages, rpm"
	flagStrokes        = "`number` of strokes, 2 or 4"
	flagCylinders      = "`number` of cylinders, 1 to 12; of a four-stroke, 1 to 3"
	flagFormat         = "`form` of the result: text, json, csv (the track), html (a page) or vtt (captions)"
	flagForms          = "`form` of the comparison: text, json or html (a page)"
	flagPlot           = "write a picture to this `file`, .png or .svg"
	flagPlotSize       = "`size` of the picture, width x height in cm, such as 18x13"
	flagOut            = "write to this `file`, or a file for each recording to this folder, instead of printing"
	flagOutExport      = "write to this `file` instead of printing"
	flagOutFile        = "write the comparison to this `file` instead of printing it"
	flagSummary        = "write a table of all recordings to this CSV `file`, one row for each"
	flagFull           = "print every step, finding, caution and figure"
	flagFullComparison = "print every figure, what a difference can come from, all problems and cautions"
	flagReply          = "print a short message to send to whoever sent the recording"
	flagSampleOut      = "the `folder` to write to; it is made if it does not exist"

	doHelp = "see topnote --help"
)

func quoted(value string) string { return strconv.Quote(value) }

func refuseNoClip() error {
	return &usageError{"no recording was named", "name a file, or - for standard input"}
}

func refuseArgument(word string) error {
	return &usageError{quoted(word) + " is one word too many", doHelp}
}

func refuseNoFolder() error {
	return &usageError{"no folder was named", "name it with --out FOLDER"}
}

func refuseNumber(flag, value string) error {
	return &usageError{"--" + flag + ": " + quoted(value) + " is not a whole number", "write one in figures, such as 2"}
}

func refuseSwitch(flag, value string) error {
	return &usageError{fmt.Sprintf("--%s takes no value, but %q was given", flag, value), "write --" + flag + " alone, or leave it out"}
}

func refuseShell(name string, known []string) error {
	last := len(known) - 1
	do := "name " + strings.Join(known[:last], ", ") + " or " + known[last]
	if name == "" {
		return &usageError{"no shell was named", do}
	}
	return &usageError{quoted(name) + " is not a shell that topnote knows", do}
}

func refuseTwoInputs() error {
	return &usageError{"standard input can be read only once", "name - only once"}
}

func refuseFormat(name string, known []string) error {
	last := len(known) - 1
	return &usageError{quoted(name) + " is not a form of the result", "use " + strings.Join(known[:last], ", ") + " or " + known[last]}
}

func refuseTooFew(n int) error {
	says := fmt.Sprintf("%d recordings cannot be compared", n)
	if n == 1 {
		says = "one recording cannot be compared"
	}
	return &usageError{says, fmt.Sprintf("name 2 to %d", report.MaxPasses)}
}

func refusePlotName(path string) error {
	return &usageError{"--plot: " + quoted(path) + " does not say which kind of picture to write", "end the name in .png or .svg"}
}

func refusePlotSize(size string) error {
	return &usageError{quoted(size) + " is not a size of a picture", "write width x height in cm, 14x10 to 60x40, such as 18x13"}
}

func refuseSizeAlone() error {
	return &usageError{"--plot-size says nothing without a picture", "name its file with --plot FILE"}
}

func refuseManyPlots() error {
	return &usageError{"--plot is for one recording", "use --format html --out FOLDER for a page with its picture for each, or compare"}
}

func refuseManyIn(format string) error {
	return &usageError{"--format " + format + " is for one recording", "name a folder for the files with --out FOLDER; --summary FILE writes one table of all"}
}

func refuseReply(format string) error {
	return &usageError{"--reply is text and cannot be written as " + format, "leave out --format or --reply"}
}

func refuseSameFile(flag, path string) error {
	return &usageError{flag + ": " + quoted(path) + " would write over another file of this command", "choose another name"}
}

func refuseOverRecording(path string) error {
	return &usageError{quoted(path) + " is a recording, and is not written over", "choose another name"}
}

func refuseOverOthers(path string) error {
	return &usageError{quoted(path) + " exists and is not one of the example passes", "name an empty or a new folder"}
}

func refuseNotAFile(path string) error {
	return &usageError{quoted(path) + " exists and is not a file", "name a file to write to"}
}

func saysNoMatch() error {
	return errors.New("no file matches this pattern; check the name and the folder")
}

func saysNoRecordings() error {
	return errors.New("there is no recording in this folder; name another, or the recordings themselves")
}

func saysCannotList(err error) error {
	return fmt.Errorf("part of this folder could not be read: %w; copy the recordings to a folder of your own", err)
}

// saysInterrupted says how far it came.
func saysInterrupted(done, total int) error {
	return fmt.Errorf("interrupted after %d of %d recordings; the files already written are complete", done, total)
}

// saysProgress is the line on the terminal while many clips are measured.
func saysProgress(bar string, done, total int) string {
	return fmt.Sprintf("[%s] %d of %d recordings", bar, done, total)
}

// saysProgressLeft is the same once it is known how long a clip takes.
func saysProgressLeft(bar string, done, total int, left time.Duration) string {
	if left < time.Minute {
		return fmt.Sprintf("[%s] %d of %d recordings, less than a minute left", bar, done, total)
	}
	return fmt.Sprintf("[%s] %d of %d recordings, about %.0f min left", bar, done, total, left.Minutes())
}

// saysMeasuring is the line on the terminal while one long clip is measured.
func saysMeasuring(taken time.Duration) string {
	return fmt.Sprintf("still measuring: %.0f s so far; Ctrl-C stops it", taken.Seconds())
}

func saysCannotPrint(err error) error {
	return fmt.Errorf("the result could not be printed: %w; check where the output goes, or use --out", err)
}

func saysCannotWrite(path string, err error) error {
	return fmt.Errorf("%s cannot be written: %w; choose a folder of your own, on a disk with room", quoted(path), err)
}
