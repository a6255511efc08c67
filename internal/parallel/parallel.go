// Package parallel runs functions in goroutines of their own and returns a panic
// in one of them as an error.
//
// A panic in a goroutine that nobody recovers ends the whole program, and with it
// the results of everybody else whom a server works for. Every goroutine below the
// job is therefore started by a Group, whose Wait returns the panic like any other
// error; code that starts its goroutine in another way wraps its body in Try.
package parallel

import (
	"context"
	"fmt"
	"runtime/debug"

	"golang.org/x/sync/errgroup"
)

// Panic is the error that a panic becomes.
type Panic struct {
	Value any    // what panic was called with
	Stack []byte // of the goroutine that panicked, as text
}

// Error gives the value alone; the stack is for a log.
func (p *Panic) Error() string { return fmt.Sprintf("panic: %v", p.Value) }

// Try calls f and gives its error, or a *Panic where it panicked.
func Try(f func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = &Panic{v, debug.Stack()}
		}
	}()
	return f()
}

// Group is a set of goroutines that work on parts of one task. The zero value is
// ready to use. It must not be copied after the first Go, nor be used for a second
// task after Wait.
type Group struct{ group *errgroup.Group }

// WithContext gives a group and a context that ends with ctx, at the first error
// or panic in the group, and when Wait returns.
func WithContext(ctx context.Context) (*Group, context.Context) {
	group, ctx := errgroup.WithContext(ctx)
	return &Group{group}, ctx
}

// Go calls f in a goroutine of its own.
func (g *Group) Go(f func() error) {
	if g.group == nil {
		g.group = new(errgroup.Group)
	}
	g.group.Go(func() error { return Try(f) })
}

// Wait waits until all functions have returned and gives the first of their
// errors, a *Panic among them.
func (g *Group) Wait() error {
	if g.group == nil {
		return nil
	}
	return g.group.Wait()
}
