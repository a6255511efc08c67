package web

import (
	"crypto/tls"
	"net"
	"net/netip"
	"net/url"
	"slices"
	"strconv"
	"sync"
)

// Place is where a running server can be found.
type Place struct {
	URLs        []string // the best first
	Code        string   // the access code; "": none is asked for
	Enter       string   // the address that carries the code, for the QR code; "": none
	Fingerprint string   // SHA-256 of the certificate, in hex; "": no TLS
}

// checkListen refuses an address that would be open to others unasked.
func checkListen(c Config) error {
	host, port, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return problemAddress(c.Listen)
	}
	const bits = 16
	if _, err := strconv.ParseUint(port, 10, bits); err != nil {
		return problemAddress(c.Listen)
	}
	if !c.LAN && !isLoopback(host) {
		return problemOpen(c.Listen)
	}
	return nil
}

// isLoopback reports whether a host is this machine and nothing else. A name but
// localhost is not looked up: what it means may change.
func isLoopback(host string) bool {
	a, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && a.IsLoopback()
}

// place tells where a server on this address can be found, and makes its
// certificate where it has one.
func (s *Server) place(addr net.Addr) (Place, *tls.Config, error) {
	at, err := netip.ParseAddrPort(addr.String())
	if err != nil {
		return Place{}, nil, err
	}
	ips := []netip.Addr{at.Addr().Unmap()}
	if at.Addr().IsUnspecified() {
		ips = ownAddresses()
	}
	var p Place
	scheme := "http"
	var secure *tls.Config
	if s.config.TLS {
		scheme = "https"
		if secure, p.Fingerprint, err = makeCertificate(ips); err != nil {
			return Place{}, nil, err
		}
	}
	for _, ip := range ips {
		u := url.URL{Scheme: scheme, Host: netip.AddrPortFrom(ip, at.Port()).String(), Path: "/"}
		p.URLs = append(p.URLs, u.String())
	}
	if s.gate != nil {
		p.Code = s.gate.shown()
		p.Enter = p.URLs[0] + "enter?code=" + url.QueryEscape(p.Code)
		s.gate.setPort(at.Port())
	}
	return p, secure, nil
}

// ownAddresses gives the addresses of this machine, those that a phone in the
// same network is most likely to reach first, and loopback last.
func ownAddresses() []netip.Addr {
	var ips []netip.Addr
	addrs, _ := net.InterfaceAddrs() // without any there is loopback still
	for _, a := range addrs {
		if p, err := netip.ParsePrefix(a.String()); err == nil {
			ip := p.Addr().Unmap()
			if !ip.IsLoopback() && !ip.IsLinkLocalUnicast() {
				ips = append(ips, ip)
			}
		}
	}
	slices.SortStableFunc(ips, func(a, b netip.Addr) int { return rank(a) - rank(b) })
	return append(ips, netip.AddrFrom4([4]byte{127, 0, 0, 1}))
}

// rank puts private addresses first and IPv6, which is long to type, last.
func rank(ip netip.Addr) int {
	switch {
	case ip.Is4() && ip.IsPrivate():
		return 0
	case ip.Is4():
		return 1
	default:
		return 2
	}
}

// limitedListener takes no more connections than it has places.
type limitedListener struct {
	net.Listener
	places chan struct{}
	ended  chan struct{}
	end    sync.Once
}

func limitConns(l net.Listener, most int) net.Listener {
	return &limitedListener{Listener: l, places: make(chan struct{}, most), ended: make(chan struct{})}
}

// Accept waits for a place, then for a connection.
func (l *limitedListener) Accept() (net.Conn, error) {
	select {
	case l.places <- struct{}{}:
	case <-l.ended:
		return nil, net.ErrClosed
	}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.places
		return nil, err
	}
	return &limitedConn{Conn: c, of: l}, nil
}

// Close implements net.Listener.
func (l *limitedListener) Close() error {
	l.end.Do(func() { close(l.ended) })
	return l.Listener.Close()
}

// limitedConn gives its place back when it is closed.
type limitedConn struct {
	net.Conn
	of   *limitedListener
	once sync.Once
}

// Close implements net.Conn.
func (c *limitedConn) Close() error {
	err := c.Conn.Close()
	c.once.Do(func() { <-c.of.places })
	return err
}
