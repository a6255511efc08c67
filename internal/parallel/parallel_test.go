package parallel

import (
	"bytes"
	"context"
	"errors"
	"testing"
)

func overrun() error {
	var none []int
	none[len(none)] = 1
	return nil
}

// TestPanicIsAnError wants a panic back as an error that names the place of it.
func TestPanicIsAnError(t *testing.T) {
	var g Group
	done := false
	g.Go(overrun)
	g.Go(func() error { done = true; return nil })
	var p *Panic
	if err := g.Wait(); !errors.As(err, &p) {
		t.Fatalf("Wait gave %v, want a *Panic", err)
	}
	if !bytes.Contains(p.Stack, []byte("parallel.overrun")) {
		t.Errorf("the stack does not name the function that panicked:\n%s", p.Stack)
	}
	if want := "panic: runtime error: index out of range [0] with length 0"; p.Error() != want {
		t.Errorf("the error is %q, want %q", p.Error(), want)
	}
	if !done {
		t.Error("Wait did not wait for the other goroutine")
	}
}

// TestContextEndsWithPanic wants the other goroutines of a group to learn that
// one of them panicked.
func TestContextEndsWithPanic(t *testing.T) {
	g, ctx := WithContext(context.Background())
	g.Go(func() error { <-ctx.Done(); return ctx.Err() })
	g.Go(overrun)
	var p *Panic
	if err := g.Wait(); !errors.As(err, &p) {
		t.Errorf("Wait gave %v, want the panic, which came first", err)
	}
}

func TestErrors(t *testing.T) {
	fault := errors.New("fault")
	for name, c := range map[string]struct {
		work []func() error
		want error
	}{
		"nothing to do": {nil, nil},
		"no fault":      {[]func() error{func() error { return nil }}, nil},
		"one fault":     {[]func() error{func() error { return nil }, func() error { return fault }}, fault},
	} {
		var g Group
		for _, f := range c.work {
			g.Go(f)
		}
		if err := g.Wait(); !errors.Is(err, c.want) || (err == nil) != (c.want == nil) {
			t.Errorf("%s: Wait gave %v, want %v", name, err, c.want)
		}
	}
}
