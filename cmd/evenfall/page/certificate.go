package page

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"net"
	"slices"
	"time"

	"evenfall/cmd/evenfall/outfile"
)

// certifiedFor is how long a certificate of the program's own is good: browsers take
// none that is good for longer than 398 days.
const certifiedFor = 397 * 24 * time.Hour

// Certificate is one of this machine's own for the page, which nobody else vouches for:
// browsers ask once whether to trust it. It is kept in a file of the user and made anew
// when it ends soon or this machine has other names or addresses. The fingerprint is its
// SHA-256, as browsers show it.
func Certificate(file string, hosts []string) (pair tls.Certificate, fingerprint string, err error) {
	names := slices.Concat([]string{"localhost", "127.0.0.1", "::1"}, hosts, localNames())
	if pair, err = tls.LoadX509KeyPair(file, file); err != nil || !covers(pair.Leaf, names) {
		if pair, err = newCertificate(file, names); err != nil {
			return pair, "", err
		}
	}
	return pair, fmt.Sprintf("% X", sha256.Sum256(pair.Certificate[0])), nil
}

// covers reports whether a certificate is good for all names for some weeks.
func covers(leaf *x509.Certificate, names []string) bool {
	for _, name := range names {
		if leaf.VerifyHostname(name) != nil {
			return false
		}
	}
	return time.Until(leaf.NotAfter) > 30*24*time.Hour
}

func newCertificate(file string, names []string) (pair tls.Certificate, err error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return pair, err
	}
	about := x509.Certificate{Subject: pkix.Name{CommonName: "Evenfall page"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(certifiedFor),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true}
	for _, name := range names {
		if ip := net.ParseIP(name); ip != nil {
			about.IPAddresses = append(about.IPAddresses, ip)
		} else {
			about.DNSNames = append(about.DNSNames, name)
		}
	}
	made, err := x509.CreateCertificate(rand.Reader, &about, &about, key.Public(), key)
	if err != nil {
		return pair, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return pair, err
	}
	content := slices.Concat(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: made}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	err = outfile.WritePrivate(file, outfile.Bytes(content)) // the key is nobody else's business
	if err != nil {
		return pair, err
	}
	return tls.X509KeyPair(content, content)
}
