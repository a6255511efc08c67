package access

import (
	"crypto/tls"
	"net"
	"net/netip"
	"net/url"
	"slices"
	"strconv"

	"golang.org/x/net/netutil"
)

// Place is where a running server can be found.
type Place struct {
	URLs        []string // the best first
	Code        string   // the access code; "": none is needed
	Enter       string   // the address that carries the code, for the QR code; "": none
	Fingerprint string   // SHA-256 of the certificate, in hex; "": no TLS
}

// CheckListen refuses an address, HOST:PORT, that is none, or that would be open to
// others where lan is not set. The error is a *Problem.
func CheckListen(listen string, lan bool) error {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return notAddress(listen)
	}
	const bits = 16
	if _, err := strconv.ParseUint(port, 10, bits); err != nil {
		return notAddress(listen)
	}
	if !lan && !isLoopback(host) {
		return openToOthers(listen)
	}
	return nil
}

// isLoopback reports whether a host is this machine and nothing else. A name but
// localhost is not looked up: what it means may change.
func isLoopback(host string) bool {
	a, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && a.IsLoopback()
}

// Listen listens on an address, HOST:PORT, and takes no more connections at once
// than the options allow: further ones wait until one is closed. The error is a
// *Problem.
func Listen(listen string, o Options) (net.Listener, error) {
	l, err := net.Listen("tcp", listen)
	if err != nil {
		return nil, cannotListen(listen, err)
	}
	return netutil.LimitListener(l, o.Connections), nil
}

// Locate gives where a server that listens on addr can be found. With secure it
// makes its certificate, which is nil otherwise. auth may be nil.
func Locate(addr net.Addr, secure bool, auth *Authenticator) (Place, *tls.Config, error) {
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
	var certificate *tls.Config
	if secure {
		scheme = "https"
		if certificate, p.Fingerprint, err = makeCertificate(ips); err != nil {
			return Place{}, nil, err
		}
	}
	for _, ip := range ips {
		u := url.URL{Scheme: scheme, Host: netip.AddrPortFrom(ip, at.Port()).String(), Path: "/"}
		p.URLs = append(p.URLs, u.String())
	}
	if auth != nil {
		p.Code = auth.Code()
		p.Enter = p.URLs[0] + enterPath[1:] + "?code=" + url.QueryEscape(p.Code)
		auth.setPort(at.Port())
	}
	return p, certificate, nil
}

// ownAddresses gives the addresses of this machine, those that a phone in the
// same network is most likely to reach first, and loopback last.
func ownAddresses() []netip.Addr {
	var ips []netip.Addr
	addrs, _ := net.InterfaceAddrs() // without any there is still loopback
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
