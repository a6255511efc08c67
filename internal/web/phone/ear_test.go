package phone

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/live"
	"topnote/internal/needle"
)

// post gives what the pages' program answers to the live view.
func post(t *testing.T, path string, body []byte) (status int, answer []byte) {
	t.Helper()
	h := New(Config{Book: filepath.Join(t.TempDir(), "book.sqlite"), Version: "test", Log: io.Discard})
	a := ask(t, h, httptest.NewRequest("POST", path, bytes.NewReader(body)))
	answer, err := io.ReadAll(a.Body)
	if err != nil {
		t.Fatal(err)
	}
	return a.StatusCode, answer
}

// TestEar: the openings that are heard in one program and measured in the other have the
// rows that one program alone tells, and a wrong entry is refused as on every page.
func TestEar(t *testing.T) {
	const form = `{"limit":"13500","kind":"saw","note":"H 1"}`
	status, text := post(t, "/live/machine", []byte(form))
	var m engine.Machine
	if err := json.Unmarshal(text, &m); status != 200 || err != nil || m.Limits.Max != 13500 || m.Build.Kind != engine.Saw {
		t.Fatalf("%d %s: %+v, %v", status, text, m, err)
	}
	wav, err := os.ReadFile(filepath.Join("..", "..", "..", "samples", "over.wav"))
	if err != nil {
		t.Fatal(err)
	}
	const head, rate = 44, 22050
	sound := needle.Samples(nil, wav[head:])
	var openings []needle.Opening
	n, err := needle.NewRaw(needle.Default(m, rate), needle.Handler{Opening: func(o needle.Opening) error { openings = append(openings, o); return nil }})
	if err == nil {
		err = errors.Join(n.Push(sound), n.End())
	}
	if err != nil {
		t.Fatal(err)
	}
	var rows []live.Row
	o := live.Default(m)
	o.Name = "live"
	if err := live.Listen(context.Background(), bytes.NewReader(wav), o, live.Handler{Row: func(r live.Row) error { rows = append(rows, r); return nil }}); err != nil {
		t.Fatal(err)
	}
	if len(openings) != 1 || len(rows) != 1 {
		t.Fatalf("%d openings, %d rows, want 1 each", len(openings), len(rows))
	}
	opening, err := json.Marshal(openings[0])
	want, errWant := json.Marshal(rows[0].JSON(m.Ceiling()))
	body, errBody := binary.Append(nil, binary.LittleEndian, openings[0].Sound)
	if err := errors.Join(err, errWant, errBody); err != nil {
		t.Fatal(err)
	}
	query := url.Values{"listening": {`{"rate":22050,"engine":` + form + `}`}, "opening": {string(opening)}}
	if status, got := post(t, "/live/row?"+query.Encode(), body); status != 200 || !bytes.Equal(got, want) {
		t.Errorf("%d %s\nwant %s", status, got, want)
	}
	if status, got := post(t, "/live/machine", []byte(`{"limit":"13.500"}`)); status != 400 || !strings.Contains(string(got), "13.500") {
		t.Errorf("a limit of 13.500: %d %s", status, got)
	}
}
