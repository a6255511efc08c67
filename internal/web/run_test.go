package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/web/access"
	"topnote/internal/web/fault"
)

// TestCertificate speaks TLS with a server, pinned to the fingerprint that it
// gives, and looks at the certificate as a browser does.
func TestCertificate(t *testing.T) {
	x := serveLAN(t, func(c *Config) { c.TLS = true })
	if !strings.HasPrefix(x.url, "https://127.0.0.1:") || !strings.HasPrefix(x.Enter, x.url+"/enter?code=") {
		t.Errorf("it is at %s, to be entered at %s", x.url, x.Enter)
	}
	var seen *x509.Certificate
	x.client.Transport = &http.Transport{ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{
		InsecureSkipVerify: true, // in place of an authority stands the fingerprint
		VerifyConnection: func(s tls.ConnectionState) error {
			seen = s.PeerCertificates[0]
			sum := sha256.Sum256(seen.Raw)
			if got := strings.ReplaceAll(strings.ToUpper(fmt.Sprintf("% x", sum)), " ", ":"); got != x.Fingerprint {
				return errors.New("another certificate: " + got)
			}
			return nil
		},
	}}
	a := x.do(x.request("GET", "/enter?code="+x.Code, nil)).want(t, http.StatusSeeOther)
	if c := a.Cookies(); len(c) != 1 || !c[0].Secure {
		t.Errorf("the cookie may go unencrypted: %v", c)
	}
	if a.ProtoMajor != 2 {
		t.Errorf("it speaks %s", a.Proto)
	}
	if seen.VerifyHostname("127.0.0.1") != nil || seen.VerifyHostname("localhost") != nil || time.Until(seen.NotAfter) > 398*24*time.Hour || time.Now().Before(seen.NotBefore) {
		t.Errorf("the certificate is for %v, %v, until %v", seen.DNSNames, seen.IPAddresses, seen.NotAfter)
	}
	roots := x509.NewCertPool()
	roots.AddCert(seen)
	if _, err := seen.Verify(x509.VerifyOptions{Roots: roots, DNSName: "127.0.0.1"}); err != nil {
		t.Errorf("where it is trusted: %v", err)
	}
	old := &tls.Config{InsecureSkipVerify: true, MaxVersion: tls.VersionTLS11}
	if c, err := tls.Dial("tcp", strings.TrimPrefix(x.url, "https://"), old); err == nil {
		c.Close()
		t.Error("it speaks TLS 1.1")
	}
	r, err := http.Get(strings.Replace(x.url, "https", "http", 1))
	if err == nil {
		r.Body.Close()
		if r.StatusCode != http.StatusBadRequest {
			t.Errorf("unencrypted: %s", r.Status)
		}
	}
	http.DefaultClient.CloseIdleConnections()
}

// TestSlowHTTP2 drips a body through HTTP/2, whose deadlines are each stream's
// own.
func TestSlowHTTP2(t *testing.T) {
	x := serve(t, func(c *Config) { small(c); c.TLS, c.Options.Pace.BodyTime = true, time.Hour })
	x.client.Transport = &http.Transport{ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}
	if a := x.do(x.rawForm(slowly{strings.NewReader(formHead + strings.Repeat("x", 10_000))})); a.StatusCode != http.StatusRequestTimeout || a.ProtoMajor != 2 {
		t.Errorf("%s %s", a.Proto, a.Status)
	}
	x.healthy()
}

// slowly reads a byte at a time with a pause.
type slowly struct{ *strings.Reader }

func (s slowly) Read(p []byte) (int, error) {
	time.Sleep(10 * time.Millisecond)
	return s.Reader.Read(p[:1])
}

// TestListen tries addresses to listen on.
func TestListen(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	for _, c := range []struct {
		listen     string
		lan, usage bool
		says       string
	}{
		{"0.0.0.0:0", false, true, "without a code"},
		{":0", false, true, "without a code"},
		{"[::]:0", false, true, "without a code"},
		{"workshop:0", false, true, "without a code"},
		{"127.0.0.1", false, true, "no address"},
		{"", false, true, "no address"},
		{taken.Addr().String(), false, false, "another program listens"},
		{"127.0.0.1:99999", false, true, "no address"},
		{"192.0.2.99:0", true, false, "does not let"}, // RFC 5737: nobody's
	} {
		temp := t.TempDir()
		s, err := New(Config{Listen: c.listen, LAN: c.lan, Temp: temp, Options: Default()})
		if err == nil {
			err = s.Serve(t.Context(), func(access.Place) error { return errors.New("it listens") })
		}
		var p *access.Problem
		if !errors.As(err, &p) || p.Usage != c.usage || !strings.Contains(p.Says, c.says) || p.Do == "" {
			t.Errorf("%q: %v", c.listen, err)
		}
		wantNoFiles(t, temp)
	}
	if _, err := New(Config{Listen: "127.0.0.1:0", Temp: filepath.Join(t.TempDir(), "nowhere"), Options: Default()}); err == nil || !strings.Contains(err.Error(), "TMPDIR") {
		t.Errorf("without a folder: %v", err)
	}
}

// TestAllAddresses listens on all of them: each is found, and loopback comes last.
func TestAllAddresses(t *testing.T) {
	x := serveLAN(t, func(c *Config) { c.Listen = ":0" })
	if last := x.URLs[len(x.URLs)-1]; !strings.HasPrefix(last, "http://127.0.0.1:") {
		t.Errorf("it is at %v", x.URLs)
	}
	for _, url := range x.URLs {
		r, err := x.client.Get(url + "api/v1/version")
		if err != nil {
			if strings.HasPrefix(url, "http://127.0.0.1:") {
				t.Errorf("loopback: %v", err)
			}
			t.Logf("this machine cannot reach itself there: %v", err) // IPv6 may be half there
			continue
		}
		r.Body.Close()
		if r.StatusCode != http.StatusUnauthorized {
			t.Errorf("%s: %s", url, r.Status)
		}
	}
}

// TestStop ends a server while one client waits for a result, one sends and one
// listens: the first two are told, and it ends all the same.
func TestStop(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.StopTime = 300 * time.Millisecond })
	began := make(chan bool)
	x.replaceWork(func(ctx context.Context) error {
		close(began)
		<-ctx.Done()
		return ctx.Err()
	})
	waits := make(chan answered, 1)
	go func() { waits <- x.post("/api/v1/clips?wait=1", []byte("x")) }()
	<-began
	half := x.dial()
	if _, err := half.Write([]byte(promise(900_000))); err != nil {
		t.Fatal(err)
	}
	idle := x.dial()
	if err := x.stop(); err != nil {
		t.Errorf("it stopped with %v", err)
	}
	if code := (<-waits).want(t, http.StatusServiceUnavailable).fault(t); code != fault.CodeGone {
		t.Errorf("the client that waited is told %q", code)
	}
	for _, c := range []net.Conn{half, idle} {
		statusOf(t, c) // it is closed, or answered
	}
	if _, err := x.client.Get(x.url); err == nil {
		t.Error("it answers after its end")
	}
}

// TestAnnounceFails has the address not be printed: the server ends.
func TestAnnounceFails(t *testing.T) {
	temp := t.TempDir()
	s, err := New(Config{Listen: "127.0.0.1:0", Temp: temp, Options: Default()})
	if err != nil {
		t.Fatal(err)
	}
	full := errors.New("no room on the paper")
	if err := s.Serve(context.Background(), func(access.Place) error { return full }); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
	wantNoFiles(t, temp)
}

// TestNotEvenABook has a file in the place of the book that is none: the server
// measures all the same, says what is wrong with the book, and names no file.
func TestNotEvenABook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "letter.txt")
	if err := os.WriteFile(path, []byte("no book at all"), 0o600); err != nil {
		t.Fatal(err)
	}
	x := serve(t, func(c *Config) { c.Book = path })
	var noted notes
	x.log.SetOutput(&noted)
	a := x.get("/api/v1/machines").want(t, http.StatusServiceUnavailable)
	if code := a.fault(t); code != fault.CodeBookFile || bytes.Contains(a.body, []byte("letter")) {
		t.Errorf("%s", a.body)
	}
	if !strings.Contains(noted.String(), "letter.txt") {
		t.Errorf("its owner reads %q", noted.String())
	}
	x.healthy()
}
