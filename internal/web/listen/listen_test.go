package listen

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"log"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"topnote/internal/engine"
	"topnote/internal/synth"
)

// serve gives a server with the socket alone.
func serve(t *testing.T, o Options) string {
	t.Helper()
	s := &Sessions{Options: o, Log: log.New(io.Discard, "", 0), Machine: func(f map[string]string) (engine.Machine, string, error) {
		if f["limit"] == "wrong" {
			return engine.Machine{}, "", errors.New("no speed")
		}
		return engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}}, "", nil
	}}
	mux := http.NewServeMux()
	s.Register(mux)
	server := httptest.NewServer(mux)
	t.Cleanup(func() {
		s.Close()
		server.Close()
	})
	return server.URL + "/live/sound"
}

// dial opens a socket and greets.
func dial(t *testing.T, url, greeting string) *websocket.Conn {
	t.Helper()
	c, _, err := websocket.Dial(t.Context(), url, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.CloseNow() })
	if err := c.Write(t.Context(), websocket.MessageText, []byte(greeting)); err != nil {
		t.Fatal(err)
	}
	return c
}

// message is any that the server sends.
type message struct {
	Kind  string   `json:"kind"`
	Says  string   `json:"says"`
	TimeS float64  `json:"t_s"`
	RPM   *float64 `json:"rpm"`
	Row   int      `json:"row"`
	Code  string   `json:"code"`
}

// next reads one; nil at the end.
func next(t *testing.T, c *websocket.Conn) *message {
	t.Helper()
	_, data, err := c.Read(t.Context())
	if err != nil {
		return nil
	}
	var m message
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	return &m
}

const greeting = `{"session":"0123456789abcdef0123","rate":22050,"engine":{}}`

// passSound is a shipped pass as raw samples.
func passSound() []byte {
	var b bytes.Buffer
	for _, v := range synth.Samples()[0].Scene.Render().Samples {
		binary.Write(&b, binary.LittleEndian, int16(math.Round(float64(v)*32767))) // to memory
	}
	return b.Bytes()
}

// TestReconnect: a socket that is lost costs nothing that was not on its way: the next
// one goes on with the session, gets its rows, and the end hangs up in order.
func TestReconnect(t *testing.T) {
	url, sound := serve(t, DefaultOptions()), passSound()
	half := len(sound) / 4 * 2
	first := dial(t, url, greeting)
	for rest := sound[:half]; len(rest) > 0; rest = rest[min(len(rest), 8820):] {
		if err := first.Write(t.Context(), websocket.MessageBinary, rest[:min(len(rest), 8820)]); err != nil {
			t.Fatal(err)
		}
	}
	at := 0.0
	for at < float64(half)/2/22050-0.5 {
		m := next(t, first)
		if m == nil || m.Kind != "reading" {
			t.Fatalf("got %+v", m)
		}
		at = m.TimeS
	}
	first.CloseNow()
	second := dial(t, url, greeting)
	for rest := sound[half:]; len(rest) > 0; rest = rest[min(len(rest), 8820):] {
		if err := second.Write(t.Context(), websocket.MessageBinary, rest[:min(len(rest), 8820)]); err != nil {
			t.Fatal(err)
		}
	}
	if err := second.Write(t.Context(), websocket.MessageText, []byte("done")); err != nil {
		t.Fatal(err)
	}
	rows, told := 0, 0
	for m := next(t, second); m != nil; m = next(t, second) {
		switch m.Kind {
		case "row":
			rows++
			if m.Row != 1 || m.Code == "" {
				t.Errorf("row %+v", m)
			}
		case "reading":
			if m.TimeS <= at-0.5 {
				t.Fatalf("after %v s the next reading is of %v s: the session was lost", at, m.TimeS)
			}
			if m.RPM != nil {
				told++
			}
		}
	}
	if rows != 1 || told == 0 {
		t.Errorf("%d rows, %d speeds", rows, told)
	}
}

// TestOtherRate: a page that comes back with another microphone begins anew, and the
// session that it had ends without taking the new one with it.
func TestOtherRate(t *testing.T) {
	o := DefaultOptions()
	o.Sessions = 1
	url := serve(t, o)
	for _, rate := range []string{"22050", "44100", "48000"} {
		page := dial(t, url, strings.Replace(greeting, "22050", rate, 1))
		if err := page.Write(t.Context(), websocket.MessageBinary, make([]byte, 2*48000)); err != nil {
			t.Fatal(err)
		}
		for range 20 { // meanwhile the session before has ended
			if m := next(t, page); m == nil || m.Kind != "reading" {
				t.Fatalf("at %s samples a second the page hears %+v", rate, m)
			}
		}
		other := dial(t, url, strings.Replace(greeting, "0123456789", "9876543210", 1))
		if m := next(t, other); m == nil || m.Kind != "problem" {
			t.Errorf("at %s samples a second, one page too many hears %+v", rate, m)
		}
	}
}

// TestRefuse: what cannot go on is said in one sentence.
func TestRefuse(t *testing.T) {
	o := DefaultOptions()
	o.Sessions, o.Keep = 1, time.Minute
	url := serve(t, o)
	for _, c := range []struct{ greeting, says string }{
		{`hello`, "this page cannot listen"},
		{`{"session":"short","rate":48000}`, "this page cannot listen"},
		{strings.Replace(greeting, "{}", `{"limit":"wrong"}`, 1), ""},
		{strings.Replace(greeting, "22050", "1", 1), "1 sample a second"},
	} {
		conn := dial(t, url, c.greeting)
		m := next(t, conn)
		for m != nil && m.Kind == "reading" {
			m = next(t, conn)
		}
		if m == nil || m.Kind != "problem" || !strings.Contains(strings.ToLower(m.Says), strings.ToLower(c.says)) {
			t.Errorf("%s: %+v", c.greeting, m)
		}
	}
	listening := dial(t, url, greeting)
	if err := listening.Write(t.Context(), websocket.MessageBinary, make([]byte, 2*22050)); err != nil {
		t.Fatal(err)
	}
	if m := next(t, listening); m == nil || m.Kind != "reading" {
		t.Fatalf("the first page hears %+v", m)
	}
	full := func(session string) *message {
		return next(t, dial(t, url, strings.Replace(greeting, "0123456789abcdef0123", session, 1)))
	}
	if m := full("another-0123456789abcdef"); m == nil || m.Kind != "problem" || !strings.Contains(m.Says, "too many pages") && !strings.Contains(m.Says, "Too many pages") {
		t.Errorf("one page too many: %+v", m)
	}
}
