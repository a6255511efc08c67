package access

import (
	"net/netip"
	"strings"
	"testing"
)

// TestHosts calls a server by many names. Source: what browsers send as Host,
// RFC 9110 section 7.2; a page whose name was made to point here sends its own.
func TestHosts(t *testing.T) {
	for _, c := range []struct {
		host      string
		here, lan bool
	}{
		{"127.0.0.1:8637", true, true},
		{"127.0.0.1", true, true},
		{"localhost:8637", true, true},
		{"LOCALHOST", true, true},
		{"[::1]:8637", true, true},
		{"[::1]", true, true},
		{"127.9.9.9:80", true, true},
		{"192.0.2.2:8637", false, true},
		{"[2001:db8::2]:8637", false, true},
		{"workshop:8637", false, true},
		{"workshop.local", false, true},
		{"workshop.example", false, false},
		{"0.0.0.0:8637", false, true},
		{"evil.example:8637", false, false},
		{"localhost.evil.example", false, false},
		{"127.0.0.1.evil.example", false, false},
		{"evil.example#127.0.0.1", false, false},
		{"localhost:8637@evil.example", false, false},
		{"", false, false},
		{":8637", false, false},
		{"[", false, false},
		{"::1", true, true},
		{"localhost.", false, false},
		{"2130706433", false, false}, // 127.0.0.1 as one number
		{"0x7f.1", false, false},
	} {
		for _, lan := range []bool{false, true} {
			g := &Guard{LAN: lan, Names: []string{"workshop", "workshop.local"}}
			if want := c.here && !lan || c.lan && lan; g.allowedHost(c.host) != want {
				t.Errorf("called %q, open to the network %v: want %v", c.host, lan, want)
			}
		}
	}
}

// FuzzHost wants what counts as a name of this machine to be one: an address of
// the loopback in figures, or localhost, with a port or without.
func FuzzHost(f *testing.F) {
	for _, host := range []string{"localhost", "127.0.0.1:80", "[::1]:80", "::1", "[::1%25lo]", "localhost:x", "a:1:2", "]:1", "[", "::ffff:127.0.0.1"} {
		f.Add(host)
	}
	g := &Guard{}
	f.Fuzz(func(t *testing.T, host string) {
		if !g.allowedHost(host) {
			return
		}
		name := hostName(host)
		a, err := netip.ParseAddr(name)
		if !strings.EqualFold(name, "localhost") && (err != nil || !a.IsLoopback()) {
			t.Errorf("%q counts as this machine", host)
		}
		rest := strings.Replace(strings.NewReplacer("[", "", "]", "").Replace(host), name, "", 1)
		if strings.Trim(rest, ":0123456789") != "" {
			t.Errorf("%q is %q with %q around it", host, name, rest)
		}
	})
}
