package phone

import (
	"context"
	"encoding/json"
	"syscall/js"

	"topnote/internal/live"
	"topnote/internal/web/fault"
)

// mostWaiting is how much sound may wait, bytes: some 80 s at 48 kHz, which is a phone
// that cannot keep up.
const mostWaiting = 8 << 20

// Listen follows an engine by the sound that a worker of its own hands over, until that
// ends. described is a listening as JSON. The worker has the functions topnoteTell(text),
// which takes a message of package live, and topnoteOpening(text, Uint8Array), which
// takes an opening that is over and its sound; it calls topnoteSound(Uint8Array) with
// raw samples of 16 bits, which gives false where too much waits, and topnoteEnd() after
// the last. The error is that of live.Listen, or of described.
func Listen(described string) error {
	var of listening
	if err := json.Unmarshal([]byte(described), &of); err != nil {
		return err
	}
	var feed live.Feed
	sound := js.FuncOf(func(_ js.Value, args []js.Value) any {
		b := make([]byte, args[0].Length())
		js.CopyBytesToGo(b, args[0])
		return feed.Add(b, mostWaiting)
	})
	end := js.FuncOf(func(js.Value, []js.Value) any {
		feed.End()
		return nil
	})
	js.Global().Set("topnoteSound", sound)
	js.Global().Set("topnoteEnd", end)
	js.Global().Call("topnoteReady")
	return live.Listen(context.Background(), &feed, of.options(), live.Handler{
		Reading: func(r live.Reading) error { return tell(r.JSON()) },
		Opening: func(o live.Opening) error {
			text, err := json.Marshal(o)
			if err == nil {
				js.Global().Call("topnoteOpening", string(text), bytesToJS(o.Sound))
			}
			return err
		},
	})
}

// TellEnd tells that Listen has ended with an error, or with none.
func TellEnd(err error) {
	if err != nil {
		f := fault.Of(err)
		_ = tell(map[string]string{"kind": "problem", "code": f.Code, "says": f.Sentence()}) // of strings: cannot fail
	}
	js.Global().Call("topnoteEnded")
}

func tell(v any) error {
	text, err := json.Marshal(v)
	if err == nil {
		js.Global().Call("topnoteTell", string(text))
	}
	return err
}

func bytesToJS(b []byte) js.Value {
	a := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(a, b)
	return a
}
