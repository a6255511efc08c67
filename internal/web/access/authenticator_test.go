package access

import (
	"fmt"
	"net/netip"
	"strings"
	"testing"
	"time"
	"unicode"

	"topnote/internal/web/fault"
)

// TestEachStartAnotherCode wants no two servers with the same secrets.
func TestEachStartAnotherCode(t *testing.T) {
	seen := map[string]bool{}
	for range 200 {
		a := NewAuthenticator(Default(), false)
		if seen[a.code] || seen[a.token] {
			t.Fatal("a secret came twice")
		}
		seen[a.code], seen[a.token] = true, true
	}
}

// TestWrongCodesSlowDown turns the clock on while wrong codes come: each costs
// more time, the right one included, and others are not held up.
func TestWrongCodesSlowDown(t *testing.T) {
	now := time.Date(2026, 5, 31, 12, 0, 0, 0, time.UTC)
	o := Default()
	a := newAuthenticator(o, false, func() time.Time { return now })
	wrongdoer, neighbour := netip.MustParseAddr("192.0.2.7"), netip.MustParseAddr("192.0.2.8")
	code := func(err error) string { return fault.Of(err).Code }
	for i := range o.FreeTries {
		if err := a.try(wrongdoer, "AAAA-AAAA-AAAA"); code(err) != fault.CodeAccess {
			t.Fatalf("wrong code %d: %v", i+1, err)
		}
	}
	var waited time.Duration
	for _, want := range []time.Duration{1, 2, 4, 8, 16, 32, 60, 60, 60} {
		err := a.try(wrongdoer, a.Code()) // the right one: not even looked at
		if err == nil || fault.Of(err).Retry != want*time.Second {
			t.Fatalf("after %v: %v, to wait %v, want %d s", waited, err, fault.Of(err).Retry, want)
		}
		if err := a.try(neighbour, a.Code()); err != nil {
			t.Errorf("the neighbour: %v", err)
		}
		now = now.Add(want * time.Second)
		waited += want * time.Second
		if err := a.try(wrongdoer, "AAAA-AAAA-AAAA"); code(err) != fault.CodeAccess {
			t.Fatalf("after %v: %v", waited, err)
		}
	}
	now = now.Add(o.MaxWait)
	if err := a.try(wrongdoer, a.Code()); err != nil {
		t.Errorf("the right code in the end: %v", err)
	}
	if len(a.wrong) != 0 {
		t.Errorf("%d are remembered after the right code", len(a.wrong))
	}
}

// TestManyWrongdoers comes from more addresses than are remembered, and from the
// many of one IPv6 network, which count as one.
func TestManyWrongdoers(t *testing.T) {
	a := NewAuthenticator(Default(), false)
	for i := range 2 * maxWrong {
		_ = a.try(netip.AddrFrom4([4]byte{10, byte(i >> 16), byte(i >> 8), byte(i)}), "wrong")
	}
	if len(a.wrong) > maxWrong {
		t.Errorf("%d are remembered, %d at most", len(a.wrong), maxWrong)
	}
	clear(a.wrong)
	var last error
	for i := range 2 * a.o.FreeTries {
		last = a.try(netip.MustParseAddr(fmt.Sprintf("2001:db8::%x", i+1)), "wrong")
	}
	if fault.Of(last).Code != fault.CodeWait || len(a.wrong) != 1 {
		t.Errorf("one network counts as %d: %v", len(a.wrong), last)
	}
}

// TestEqual compares texts of all kinds.
func TestEqual(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{{"", "", true}, {"a", "a", true}, {"a", "b", false}, {"a", "", false}, {"ab", "a", false}, {"a\x00", "a", false}} {
		if got := equal(c.a, c.b); got != c.want {
			t.Errorf("equal(%q, %q) = %v", c.a, c.b, got)
		}
	}
}

// FuzzCode puts a text into the right code, over it, and in its place: only hyphens
// and spaces make no difference.
func FuzzCode(f *testing.F) {
	a := NewAuthenticator(Default(), false)
	for _, text := range []string{"", "-", " - ", "A", "ABCD-EFGH-JKLM", "\x00", "ß"} {
		for at := range len(a.Code()) + 1 {
			f.Add(text, at)
		}
	}
	f.Fuzz(func(t *testing.T, text string, at int) {
		code := a.Code()
		if at < 0 || at > len(code) {
			return
		}
		for what, changed := range map[string]string{
			"put in": code[:at] + text + code[at:], "put over": code[:at] + text + code[min(len(code), at+len(text)):], "alone": text,
		} {
			clear(a.wrong)
			same := strings.EqualFold(strings.NewReplacer("-", "", " ", "").Replace(changed), a.code)
			ascii := !strings.ContainsFunc(changed, func(c rune) bool { return c > unicode.MaxASCII })
			if accepted := a.try(netip.Addr{}, changed) == nil; accepted && !same || same && ascii && !accepted {
				t.Errorf("%q %s at %d: %q is accepted for %q: %v", text, what, at, changed, code, accepted)
			}
		}
	})
}
