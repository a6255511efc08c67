package main

import (
	"io"
	"os"

	"golang.org/x/term"

	"topnote/internal/report"
)

// textStyle gives the style for w: coloured and no wider than the window on a
// terminal, plain anywhere else. NO_COLOR set to anything, or TERM=dumb, turns
// colour off.
func textStyle(w io.Writer) report.TextStyle {
	style := report.TextStyle{Columns: report.DefaultColumns}
	f, isFile := w.(*os.File)
	if !isFile || !term.IsTerminal(int(f.Fd())) {
		return style
	}
	style.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	if columns, _, err := term.GetSize(int(f.Fd())); err == nil && columns > 0 {
		style.Columns = max(minColumns, min(columns, report.DefaultColumns))
	}
	return style
}

// minColumns is the narrowest width for text.
const minColumns = 40
