package main

import (
	"io"
	"os"

	"golang.org/x/term"

	"topnote/internal/report"
)

// textStyle fits text to where it goes: coloured and no wider than the window
// on a terminal, plain anywhere else. NO_COLOR set to anything, or a terminal
// that calls itself dumb, gets no colour.
func textStyle(w io.Writer) report.TextStyle {
	style := report.TextStyle{Columns: report.DefaultColumns}
	f, isFile := w.(*os.File)
	if !isFile || !term.IsTerminal(int(f.Fd())) {
		return style
	}
	style.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	if columns, _, err := term.GetSize(int(f.Fd())); err == nil && columns > 0 {
		style.Columns = max(narrowest, min(columns, report.DefaultColumns))
	}
	return style
}

// narrowest is the least width that text is fitted to.
const narrowest = 40
