// Command topnote-listen is the program of the live view inside a browser: sound in,
// readings out. It is small, so that it is loaded before the program that answers the
// pages, and has a worker of its own, so that no measurement keeps it waiting.
//
// It calls topnoteReady() once it has these functions: topnoteBegin(engine, machine, rate)
// begins to follow an engine, of the fields of a form or, where it is not null, of a
// machine as package phone gives it; topnoteSound(Uint8Array) takes the next samples of 16
// bits; topnoteEnd() comes after the last. Each gives null, or what went wrong: code, says
// and do. topnoteTell(reading) and topnoteOpening(opening, Uint8Array), an opening that is
// over with its sound, are the worker's.
package main

import (
	"encoding/binary"
	"errors"
	"syscall/js"

	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/needle"
)

func main() {
	var l listener
	for name, call := range map[string]func([]js.Value) error{"topnoteBegin": l.begin, "topnoteSound": l.take, "topnoteEnd": l.end} {
		js.Global().Set(name, js.FuncOf(func(_ js.Value, args []js.Value) any { return problem(call(args)) }))
	}
	js.Global().Call("topnoteReady")
	select {}
}

// problem gives an error as the worker gets it.
func problem(err error) any {
	var refused *entry.Refusal
	switch {
	case err == nil:
		return nil
	case errors.As(err, &refused):
		return map[string]any{"code": "entry", "says": refused.Says, "do": refused.Do}
	case errors.Is(err, needle.ErrRate):
		return map[string]any{"code": "rate", "says": "this microphone gives sound that cannot be followed", "do": "choose another one"}
	}
	return map[string]any{"code": "inside", "says": "the program made a mistake: " + err.Error(), "do": "close the page, and open it again"}
}

// listener is the sound that is followed.
type listener struct {
	raw   *needle.Raw
	bytes []byte
	sound []int16
}

func (l *listener) begin(args []js.Value) error {
	m, err := machineFrom(args[0], args[1])
	if err == nil {
		l.raw, err = needle.NewRaw(needle.Default(m, args[2].Int()), needle.Handler{Reading: tell, Opening: tellOpening})
	}
	return err
}

// machineFrom gives the machine that is there already or, where that is null, the one that
// a form describes.
func machineFrom(form, machine js.Value) (engine.Machine, error) {
	if machine.IsNull() {
		return entry.Read(fieldsOf(form), engine.Machine{Spec: engine.TwoStrokeSingle})
	}
	return machineOf(machine), nil
}

func (l *listener) take(args []js.Value) error {
	l.bytes = append(l.bytes[:0], make([]byte, args[0].Length())...)
	js.CopyBytesToGo(l.bytes, args[0])
	l.sound = needle.Samples(l.sound[:0], l.bytes)
	return l.raw.Push(l.sound)
}

func (l *listener) end([]js.Value) error { return l.raw.End() }

// tell tells a reading, as live.ReadingJSON has it.
func tell(r needle.Reading) error {
	r = r.Rounded()
	reading := map[string]any{
		"kind": "reading", "t_s": float64(r.At), "heard_s": float64(r.Heard), "rpm": nil, "sd_rpm": float64(r.SD), "confidence": r.Confidence,
		"fires_every_rev": int(r.Fires), "open_s": float64(r.Open), "warn": string(r.Warn), "level": string(r.Level),
	}
	if r.Speed.Told() {
		reading["rpm"] = float64(r.Speed)
	}
	js.Global().Call("topnoteTell", reading)
	return nil
}

// tellOpening tells an opening, as needle.Opening has it.
func tellOpening(o needle.Opening) error {
	const width = 2 // bytes
	b := make([]byte, 0, width*len(o.Sound))
	for _, v := range o.Sound {
		b = binary.LittleEndian.AppendUint16(b, uint16(v))
	}
	sound := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(sound, b)
	js.Global().Call("topnoteOpening", map[string]any{
		"row": o.Number, "from_s": float64(o.From), "to_s": float64(o.To), "let_go_s": float64(o.LetGo), "heard_s": float64(o.Heard),
	}, sound)
	return nil
}

// fieldsOf gives the fields of a form.
func fieldsOf(v js.Value) map[string]string {
	fields, names := map[string]string{}, js.Global().Get("Object").Call("keys", v)
	for i := range names.Length() {
		name := names.Index(i).String()
		fields[name] = v.Get(name).String()
	}
	return fields
}

// machineOf gives what of a machine an engine is followed by.
func machineOf(v js.Value) (m engine.Machine) {
	spec, limits, build := v.Get("Spec"), v.Get("Limits"), v.Get("Build")
	m.Spec = engine.Spec{Strokes: spec.Get("Strokes").Int(), Cylinders: spec.Get("Cylinders").Int()}
	m.Limits = engine.Limits{Max: speed(limits.Get("Max")), Idle: speed(limits.Get("Idle")), Clutch: speed(limits.Get("Clutch"))}
	if is := build.Get("limit_is"); is.Truthy() {
		m.Build.LimitIs, m.Build.Tolerance = engine.LimitIs(is.String()), speed(build.Get("tolerance_rpm"))
	}
	return m
}

func speed(v js.Value) engine.RPM {
	if !v.Truthy() {
		return 0
	}
	return engine.RPM(v.Float())
}
