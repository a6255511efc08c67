package listen

import (
	"context"
	"encoding/json"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/coder/websocket"

	"topnote/internal/engine"
)

// FuzzSocket sends any first message and any sound after it: the socket ends by itself,
// whatever is sent back is JSON, and nothing ends the server.
func FuzzSocket(f *testing.F) {
	for _, hello := range []string{
		greeting, `{"session":"0123456789abcdef0123","rate":8000,"engine":{"limit":"13500"}}`, `{"session":"0123456789abcdef0123","rate":-1}`,
		`{"session":"0123456789abcdef0123","rate":999999999}`, `{"session":"x","rate":48000}`, `{"engine":{"":""}}`, `[]`, "\xff",
	} {
		f.Add([]byte(hello), passSound()[:4096])
	}
	f.Add([]byte(greeting), []byte{1})
	o := DefaultOptions()
	o.Keep = time.Millisecond
	s := &Sessions{Options: o, Log: log.New(io.Discard, "", 0), Machine: func(map[string]string) (engine.Machine, string, error) {
		return engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}}, "", nil
	}}
	mux := http.NewServeMux()
	s.Register(mux)
	server := httptest.NewServer(mux)
	f.Cleanup(func() {
		s.Close()
		server.Close()
	})
	f.Fuzz(func(t *testing.T, hello, sound []byte) {
		const patience = 20 * time.Second
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		defer cancel()
		c, _, err := websocket.Dial(ctx, server.URL+"/live/sound", nil)
		if err != nil {
			t.Fatal(err)
		}
		defer c.CloseNow()
		for i, message := range [][]byte{hello, sound, []byte("end")} {
			kind := websocket.MessageText
			if i == 1 {
				kind = websocket.MessageBinary
			}
			if c.Write(ctx, kind, message) != nil {
				break // it has been refused
			}
		}
		for {
			_, data, err := c.Read(ctx)
			if err != nil {
				break
			}
			if !json.Valid(data) {
				t.Fatalf("it sent %q", data)
			}
		}
		if ctx.Err() != nil {
			t.Fatalf("it still waits after %v", patience)
		}
	})
}
