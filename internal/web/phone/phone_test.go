package phone

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"
)

// ask gives the answer of a whole handler below /school/app.
func ask(t *testing.T, h http.Handler, r *http.Request) *http.Response {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

// TestBelowAFolder: no page leads out of the folder that the program is in, and a
// recording that is sent leads to its page in it.
func TestBelowAFolder(t *testing.T) {
	const base = "/school/app"
	h := New(Config{Book: filepath.Join(t.TempDir(), "book.sqlite"), Version: "test", Base: base, Log: io.Discard})
	leads := regexp.MustCompile(`\s(?:href|src|action|formaction)="(/[^"]*)"`)
	for _, path := range []string{"/", "/book", "/air", "/compare", "/nowhere"} {
		answer := ask(t, h, httptest.NewRequest("GET", path, nil))
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		found := leads.FindAllStringSubmatch(string(text), -1)
		if len(found) < 5 {
			t.Errorf("%s: only %d addresses in the page", path, len(found))
		}
		for _, m := range found {
			if !strings.HasPrefix(m[1], base+"/") {
				t.Errorf("%s leads to %s", path, m[1])
			}
		}
		if got := answer.Header.Get("Content-Security-Policy"); !strings.Contains(got, "connect-src 'self'") || !strings.Contains(got, "frame-ancestors 'self'") {
			t.Errorf("%s has the policy %q", path, got)
		}
	}
	var form bytes.Buffer
	m := multipart.NewWriter(&form)
	part, err := m.CreateFormFile("clip", "x.wav")
	if err == nil {
		_, err = part.Write([]byte("x"))
	}
	if err := errors.Join(err, m.Close()); err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest("POST", "/clips", &form)
	r.Header.Set("Content-Type", m.FormDataContentType())
	answer := ask(t, h, r)
	if to := answer.Header.Get("Location"); answer.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, base+"/clips/") {
		t.Errorf("%d to %q", answer.StatusCode, to)
	}
}

// TestTextStays: an address that somebody entered as text is left as it is.
func TestTextStays(t *testing.T) {
	h := below("/app", http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		io.WriteString(w, `<a href="/book">href=&#34;/book&#34; /book</a><a href="https://x/y">`)
	}))
	text, _ := io.ReadAll(ask(t, h, httptest.NewRequest("GET", "/", nil)).Body) // in memory
	if want := `<a href="/app/book">href=&#34;/book&#34; /book</a><a href="https://x/y">`; string(text) != want {
		t.Errorf("%s, want %s", text, want)
	}
}

// TestMemoryIsLikeFiles does the same to a file in memory and to one on a disk.
func TestMemoryIsLikeFiles(t *testing.T) {
	folder := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		disk, err := os.CreateTemp(folder, "")
		if err != nil {
			t.Fatal(err)
		}
		defer disk.Close()
		var m memory
		f, err := m.Create("x")
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			at := rapid.Int64Range(-3, 40).Draw(t, "offset")
			whence := rapid.IntRange(0, 2).Draw(t, "whence")
			a, errA := f.Seek(at, whence)
			b, errB := disk.Seek(at, whence)
			if (errA == nil) != (errB == nil) || errA == nil && a != b {
				t.Fatalf("sought to %d (%v), on the disk %d (%v)", a, errA, b, errB)
			}
			p := rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(t, "bytes")
			if rapid.Bool().Draw(t, "write") {
				f.Write(p)
				disk.Write(p)
				continue
			}
			x, y := make([]byte, len(p)+1), make([]byte, len(p)+1)
			n, errN := f.Read(x)
			k, errK := disk.Read(y)
			if n != k || !bytes.Equal(x, y) || errors.Is(errN, io.EOF) != errors.Is(errK, io.EOF) {
				t.Fatalf("read %d %x (%v), on the disk %d %x (%v)", n, x, errN, k, y, errK)
			}
		}
	})
}

func TestMemoryByName(t *testing.T) {
	var m memory
	f, err := m.Create("a")
	if err == nil {
		_, err = f.Write([]byte("sound"))
	}
	if err != nil {
		t.Fatal(err)
	}
	if _, err := m.Create("a"); !errors.Is(err, fs.ErrExist) {
		t.Errorf("made twice: %v", err)
	}
	reading, err := m.Open("a")
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(m.Remove("a"), iotest.TestReader(reading, []byte("sound"))); err != nil {
		t.Errorf("what is being read while it is removed: %v", err)
	}
	if _, err := m.Open("a"); !errors.Is(err, fs.ErrNotExist) || !errors.Is(m.Remove("a"), fs.ErrNotExist) {
		t.Errorf("it is still there: %v", err)
	}
	if err := m.Close(); err != nil {
		t.Error(err)
	}
}
