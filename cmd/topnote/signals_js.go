package main

import "context"

// untilInterrupted gives a context that never ends: no signal comes here.
func untilInterrupted() context.Context { return context.Background() }
