package access

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"rsc.io/qr"
)

// TestQR reads a drawn code back, square by square, in both ways of drawing, and
// holds it to the picture that the library draws of the same text.
func TestQR(t *testing.T) {
	const text = "https://192.0.2.2:8637/enter?code=ABCD-EFGH-JKLM"
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	const scale = 8
	code.Scale = scale
	picture, err := png.Decode(bytes.NewReader(code.PNG()))
	if err != nil {
		t.Fatal(err)
	}
	for _, colour := range []bool{false, true} {
		var b bytes.Buffer
		if err := WriteQR(&b, text, colour); err != nil {
			t.Fatal(err)
		}
		drawn := strings.NewReplacer("\x1b[30;107m", "", "\x1b[0m", "").Replace(b.String())
		rows := strings.Split(strings.TrimSuffix(drawn, "\n"), "\n")
		if want := (code.Size + 2*quietZone + 1) / 2; len(rows) != want {
			t.Fatalf("%d lines, want %d", len(rows), want)
		}
		for y := range code.Size + 2*quietZone {
			row := []rune(rows[y/2])
			if len(row) != code.Size+2*quietZone {
				t.Fatalf("line %d has %d squares", y/2, len(row))
			}
			for x, letter := range row {
				if inked(letter, y%2) != (dark(picture, scale*x, scale*y) == colour) {
					t.Fatalf("colour %v: the square at %d, %d is wrong", colour, x, y)
				}
			}
		}
	}
	if err := WriteQR(new(bytes.Buffer), strings.Repeat("x", 5000), false); err == nil {
		t.Error("5000 letters fit into a code")
	}
}

// inked reports whether the upper (0) or lower (1) half of a letter is inked.
func inked(letter rune, half int) bool {
	return letter == '█' || letter == '▀' && half == 0 || letter == '▄' && half == 1
}

// dark reports whether a dot of the library's picture, which has the same empty
// edge, is black.
func dark(i image.Image, x, y int) bool {
	return color.GrayModel.Convert(i.At(x, y)).(color.Gray).Y < 128
}
