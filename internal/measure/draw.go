package measure

import (
	"bytes"
	"io"

	"topnote/internal/picture"
	"topnote/internal/report"
	"topnote/internal/spectrum"
)

// Draw draws the measurement: its report above the spectrogram of its sound. The
// errors are those of picture.Draw, and a *clip.Problem when the sound cannot be
// read back.
func (m Measurement) Draw(w io.Writer, f picture.Format, s picture.Size) error {
	spectrogram, err := m.spectrogram()
	if err != nil {
		return err
	}
	return picture.Draw(w, f, s, m.Report, spectrogram)
}

// Inline writes the picture of the measurement as an element of SVG within a page
// of HTML; picture.Inline says how the page colours it. It returns the first error
// of w, and a *clip.Problem as Draw does.
func (m Measurement) Inline(w io.Writer) error {
	spectrogram, err := m.spectrogram()
	if err != nil {
		return err
	}
	return picture.Inline(w, m.Report, spectrogram)
}

// WriteHTML writes the measurement as one page with its picture in it. It
// returns the first error of w, and a *clip.Problem as Draw does.
func (m Measurement) WriteHTML(w io.Writer) error {
	var drawing bytes.Buffer
	if err := m.Inline(&drawing); err != nil {
		return err
	}
	return report.WriteHTML(w, m.Report, drawing.Bytes())
}

// spectrogram gives that of the sound. The error is a *clip.Problem.
func (m Measurement) spectrogram() (spectrum.Spectrogram, error) {
	return spectrum.NewSpectrogram(m.sound.Samples, m.sound.Rate)
}

// Draw draws the comparison. The errors are those of picture.Draw.
func (c Comparison) Draw(w io.Writer, f picture.Format, s picture.Size) error {
	return picture.DrawComparison(w, f, s, c.Report)
}

// Inline writes the picture of the comparison as Measurement.Inline does.
func (c Comparison) Inline(w io.Writer) error { return picture.InlineComparison(w, c.Report) }

// WriteHTML writes the comparison as one page with its picture in it. It
// returns the first error of w.
func (c Comparison) WriteHTML(w io.Writer) error {
	var drawing bytes.Buffer
	if err := c.Inline(&drawing); err != nil {
		return err
	}
	return report.WriteComparisonHTML(w, c.Report, drawing.Bytes())
}
