package access

import (
	"fmt"
	"io"
	"strings"

	"rsc.io/qr"
)

// quietZone is the empty edge of a QR code, in squares: ISO/IEC 18004 requires 4.
const quietZone = 4

// WriteQR draws text as a QR code for a terminal, two squares in the height of a
// line. With colour the squares are black on white whatever the terminal's own;
// without, light squares are drawn, as they have to be on a dark terminal. It
// returns the first error of w, and an error for a text that is too long.
func WriteQR(w io.Writer, text string, colour bool) error {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return fmt.Errorf("web: drawing a QR code: %w", err)
	}
	var b strings.Builder
	for y := -quietZone; y < code.Size+quietZone; y += 2 {
		if colour {
			b.WriteString("\x1b[30;107m") // black on bright white
		}
		for x := -quietZone; x < code.Size+quietZone; x++ {
			b.WriteString(squares(code.Black(x, y) == colour, y+1 < code.Size+quietZone && code.Black(x, y+1) == colour))
		}
		if colour {
			b.WriteString("\x1b[0m")
		}
		b.WriteByte('\n')
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// squares gives the letter with its upper and lower half inked.
func squares(upper, lower bool) string {
	switch {
	case upper && lower:
		return "█"
	case upper:
		return "▀"
	case lower:
		return "▄"
	default:
		return " "
	}
}
