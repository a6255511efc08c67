package main

import (
	"topnote/internal/engine"
	"topnote/internal/entry"
)

// fieldFlag is a flag that holds a field of a machine; it implements pflag.Value.
type fieldFlag struct {
	to    *engine.Machine
	field engine.Field
}

// Set reads what is known of the field, and "none".
func (f fieldFlag) Set(text string) error { return entry.SetField(f.to, f.field, text) }

// String gives the default for the help: none.
func (f fieldFlag) String() string { return "" }

// Type names what the flag takes, for the help.
func (f fieldFlag) Type() string { return "answer" }
