package main

import (
	"topnote/internal/engine"
	"topnote/internal/entry"
)

// speedFlag is a flag that holds a speed in rpm; it implements pflag.Value.
type speedFlag struct{ to *engine.RPM }

// Set reads a speed as people write it.
func (f speedFlag) Set(text string) error {
	v, err := entry.ParseSpeed(text)
	if err != nil {
		return err
	}
	*f.to = v
	return nil
}

// String gives the default for the help: none.
func (f speedFlag) String() string { return "" }

// Type names what the flag takes, for the help.
func (f speedFlag) Type() string { return "rpm" }
