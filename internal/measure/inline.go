package measure

import (
	"io"

	"topnote/internal/picture"
)

// Inline writes the picture of the measurement as an element of SVG that stands
// in a page of HTML; picture.Inline says how the page colours it. It returns the
// first error of w, and a *clip.Problem as Draw does.
func (m Measurement) Inline(w io.Writer) error {
	lines, err := m.lines()
	if err != nil {
		return err
	}
	return picture.Inline(w, m.Report, lines)
}

// Inline writes the picture of the comparison as Measurement.Inline does.
func (c Comparison) Inline(w io.Writer) error { return picture.InlineComparison(w, c.Report) }
