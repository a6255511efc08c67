package access

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"fmt"
	"math/big"
	"net"
	"net/netip"
	"os"
	"strings"
	"time"
)

// certificateLife is how long a certificate holds: longer than any server runs
// unattended. Some systems refuse those that hold for more than 398 days.
const certificateLife = 90 * 24 * time.Hour

// makeCertificate makes a key and a certificate that signs itself for these
// addresses and this machine's names. Neither is ever written anywhere. It also
// gives the certificate's SHA-256 as browsers show it: in hex, pairs apart by
// colons.
func makeCertificate(ips []netip.Addr) (*tls.Config, string, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, "", fmt.Errorf("web: making a key: %w", err)
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120)) // RFC 5280: 20 octets at most
	if err != nil {
		return nil, "", fmt.Errorf("web: making a serial number: %w", err)
	}
	now := time.Now()
	form := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{CommonName: "topnote, made " + now.Format("2006-01-02 15:04")},
		NotBefore:    now.Add(-24 * time.Hour), // clocks of phones differ
		NotAfter:     now.Add(certificateLife),
		KeyUsage:     x509.KeyUsageDigitalSignature,
		ExtKeyUsage:  []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		DNSNames:     append(OwnNames(), "localhost"), BasicConstraintsValid: true,
	}
	for _, ip := range ips {
		form.IPAddresses = append(form.IPAddresses, net.IP(ip.AsSlice()))
	}
	der, err := x509.CreateCertificate(rand.Reader, form, form, &key.PublicKey, key)
	if err != nil {
		return nil, "", fmt.Errorf("web: making a certificate: %w", err)
	}
	sum := sha256.Sum256(der)
	return &tls.Config{
		Certificates: []tls.Certificate{{Certificate: [][]byte{der}, PrivateKey: key}},
		MinVersion:   tls.VersionTLS12,
	}, hexPairs(sum[:]), nil
}

// hexPairs writes bytes in hex as AB:CD:EF.
func hexPairs(b []byte) string {
	pairs := make([]string, len(b))
	for i := range b {
		pairs[i] = strings.ToUpper(hex.EncodeToString(b[i : i+1]))
	}
	return strings.Join(pairs, ":")
}

// OwnNames gives the names that this machine is called by in its network: its
// own and the one of multicast DNS.
func OwnNames() []string {
	name, err := os.Hostname()
	if err != nil || name == "" {
		return nil
	}
	name, _, _ = strings.Cut(strings.ToLower(name), ".")
	return []string{name, name + ".local"}
}
