package jobs

import (
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf8"

	"topnote/internal/web/fault"
	"topnote/internal/web/pace"
)

// FuzzName wants any name of a file to be shown short, on one line and without
// folders.
func FuzzName(f *testing.F) {
	for _, name := range []string{"", "../x", `C:\x`, "\x00", "\u202e", strings.Repeat("ä", 300), "\xff"} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		shown := displayName(name)
		if shown == "" || !utf8.ValidString(shown) || utf8.RuneCountInString(shown) > MaxName || strings.ContainsAny(shown, "/\\\n\r\x00\u202e") {
			t.Errorf("%q is shown as %q", name, shown)
		}
		if again := displayName(shown); again != shown && !strings.HasPrefix(shown, again) {
			t.Errorf("%q is shown as %q, and that as %q", name, shown, again)
		}
	})
}

// TestStoredNames sends a form whose recording has the name of a file elsewhere:
// the one file that it becomes is in the folder of the store.
func TestStoredNames(t *testing.T) {
	s, folder := openStore(t, t.TempDir(), 1000)
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, err := m.CreateFormFile("clip", "../../evil")
	if err != nil {
		t.Fatal(err)
	}
	_, _ = io.WriteString(part, "x") // into memory
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	in := form{fields: map[string]string{}}
	if err := in.read(multipart.NewReader(&b, m.Boundary()), s.Put); err != nil {
		t.Fatal(err)
	}
	defer in.upload.Release()
	files, err := os.ReadDir(folder.path)
	if err != nil || len(files) != 2 || in.upload.Size() != 1 { // with the lock
		t.Errorf("the folder has %v (%v); the recording has %d bytes", files, err, in.upload.Size())
	}
	if text, err := os.ReadFile(filepath.Join(folder.path, in.upload.name)); string(text) != "x" {
		t.Errorf("%s holds %q (%v)", in.upload.name, text, err)
	}
}

// formHead is the beginning of a form with a recording; its boundary is x.
const formHead = "--x\r\nContent-Disposition: form-data; name=\"clip\"; filename=\"x\"\r\n\r\n"

// TestSlowWithinALine has a body come too slowly in the middle of each line of a
// form: whatever the reader of the form makes of the line, the answer is that it was
// too slow.
func TestSlowWithinALine(t *testing.T) {
	s, _ := openStore(t, t.TempDir(), 1000)
	for cut := range len(formHead) {
		r := httptest.NewRequest("POST", "/", io.MultiReader(strings.NewReader(formHead[:cut]), iotest.ErrReader(os.ErrDeadlineExceeded)))
		r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		in := &Intake{
			Options: Default(), Pace: pace.Default(), Store: s, Queue: quietQueue(t, Default()),
			Client: func(*http.Request) string { return "" },
		}
		if _, err := in.Receive(httptest.NewRecorder(), r); fault.Of(err).Code != fault.CodeTooSlow {
			t.Errorf("after %q: %v", formHead[:cut], err)
		}
		if n := in.Queue.Seats(); n != 0 {
			t.Fatalf("after %q: %d seats are taken", formHead[:cut], n)
		}
	}
}
