package phone

import (
	"bufio"
	"bytes"
	"io"
	"net/http"
	"net/url"
	"syscall/js"
)

// Answer answers the requests that the worker hands over, until the page is closed.
// The worker calls topnoteAnswer(method, address, headers, body, sink): headers is a
// list of names and values in turn, body a Uint8Array, and sink has the methods
// head(status, headers), chunk(Uint8Array) and end(). Once this works it calls
// topnoteReady().
func Answer(h http.Handler) {
	answer := js.FuncOf(func(_ js.Value, args []js.Value) any {
		r, err := requestOf(args)
		if err != nil {
			args[4].Call("head", http.StatusBadRequest, []any{})
			args[4].Call("end")
			return nil
		}
		go func() {
			w := &answering{sink: args[4], header: http.Header{}}
			w.body = bufio.NewWriterSize(chunks{w.sink}, 64<<10)
			h.ServeHTTP(w, r)
			w.end()
		}()
		return nil
	})
	js.Global().Set("topnoteAnswer", answer)
	js.Global().Call("topnoteReady")
	select {}
}

// requestOf reads what the worker handed over.
func requestOf(args []js.Value) (*http.Request, error) {
	address, err := url.ParseRequestURI(args[1].String())
	if err != nil {
		return nil, err
	}
	body := make([]byte, args[3].Length())
	js.CopyBytesToGo(body, args[3])
	r := &http.Request{
		Method: args[0].String(), URL: address, RequestURI: args[1].String(), Host: "localhost", RemoteAddr: local,
		Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1, Header: http.Header{},
		Body: io.NopCloser(bytes.NewReader(body)), ContentLength: int64(len(body)),
	}
	for i := 0; i+1 < args[2].Length(); i += 2 {
		r.Header.Add(args[2].Index(i).String(), args[2].Index(i+1).String())
	}
	return r, nil
}

// answering is the answer to one request.
type answering struct {
	sink   js.Value
	header http.Header
	body   *bufio.Writer
	sent   bool // the head
}

// Header implements http.ResponseWriter.
func (w *answering) Header() http.Header { return w.header }

// WriteHeader implements http.ResponseWriter.
func (w *answering) WriteHeader(status int) {
	if w.sent {
		return
	}
	w.sent = true
	list := []any{}
	for name, values := range w.header {
		for _, v := range values {
			list = append(list, name, v)
		}
	}
	w.sink.Call("head", status, list)
}

// Write implements http.ResponseWriter.
func (w *answering) Write(p []byte) (int, error) {
	if !w.sent {
		if w.header.Get("Content-Type") == "" {
			w.header.Set("Content-Type", http.DetectContentType(p))
		}
		w.WriteHeader(http.StatusOK)
	}
	return w.body.Write(p)
}

// Flush implements http.Flusher.
func (w *answering) Flush() { _ = w.body.Flush() } // chunks have no error

func (w *answering) end() {
	w.WriteHeader(http.StatusOK)
	w.Flush()
	w.sink.Call("end")
}

// chunks hands bytes to the page.
type chunks struct{ sink js.Value }

// Write implements io.Writer.
func (c chunks) Write(p []byte) (int, error) {
	c.sink.Call("chunk", bytesToJS(p))
	return len(p), nil
}

func bytesToJS(b []byte) js.Value {
	a := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(a, b)
	return a
}
