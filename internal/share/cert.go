package share

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"net/netip"
	"strings"
	"time"
)

// certTime is how long a certificate holds: a shoot and some days.
const certTime = 14 * 24 * time.Hour

// makeCert makes a key and a certificate for one address that only itself vouches for.
func makeCert(ip netip.Addr, now time.Time) (cert, key []byte, err error) {
	k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, nil, err
	}
	t := &x509.Certificate{SerialNumber: new(big.Int).SetBytes(random(15)),
		Subject:   pkix.Name{CommonName: "halfstop"},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certTime), KeyUsage: x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
		IPAddresses: []net.IP{ip.AsSlice()}}
	der, err := x509.CreateCertificate(rand.Reader, t, t, &k.PublicKey, k)
	if err != nil {
		return nil, nil, err
	}
	b, err := x509.MarshalPKCS8PrivateKey(k)
	if err != nil {
		return nil, nil, err
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: b}), nil
}

// readCert reads what makeCert made; the error says why it cannot be used for this address now.
func readCert(cert, key []byte, ip netip.Addr, now time.Time) (tls.Certificate, error) {
	c, err := tls.X509KeyPair(cert, key)
	if err != nil {
		return c, err
	}
	x, err := x509.ParseCertificate(c.Certificate[0])
	if err != nil {
		return c, err
	}
	if now.Before(x.NotBefore) || now.Add(24*time.Hour).After(x.NotAfter) {
		return c, errors.New("its time is over")
	}
	return c, x.VerifyHostname(ip.String())
}

// fingerprint is what a browser shows of a certificate: the SHA-256 of it, in pairs.
func fingerprint(c tls.Certificate) string {
	sum := sha256.Sum256(c.Certificate[0])
	var out []string
	for _, b := range sum {
		out = append(out, fmt.Sprintf("%02X", b))
	}
	return strings.Join(out, ":")
}
