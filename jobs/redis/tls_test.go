package redis

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// authority signs certificates.
type authority struct {
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
}

func newAuthority(t testing.TB) *authority {
	t.Helper()
	a := &authority{cert: &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "authority of a test"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(24 * time.Hour), IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}}
	var err error
	if a.key, err = ecdsa.GenerateKey(elliptic.P256(), rand.Reader); err != nil {
		t.Fatal(err)
	}
	if a.cert.Raw, err = x509.CreateCertificate(rand.Reader, a.cert, a.cert, &a.key.PublicKey, a.key); err != nil {
		t.Fatal(err)
	}
	return a
}

// trusted is the one private authority that this process trusts: what
// SSL_CERT_FILE names is read once in a process.
var trusted *authority

// trust makes the trusted authority, as whoever runs the program would.
func trust(t testing.TB) *authority {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("SSL_CERT_FILE does not name authorities on this system")
	}
	if trusted == nil {
		a := newAuthority(t)
		file := filepath.Join(t.TempDir(), "authority.pem")
		writePEM(t, file, "CERTIFICATE", a.cert.Raw)
		t.Setenv("SSL_CERT_FILE", file)
		if _, err := x509.SystemCertPool(); err != nil {
			t.Fatal(err)
		}
		trusted = a
	}
	return trusted
}

// issue writes a certificate for an address, and returns the arguments that
// make a server use it on a port.
func (a *authority) issue(t testing.TB, ip, port string) []string {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	cert := &x509.Certificate{SerialNumber: big.NewInt(2), NotBefore: a.cert.NotBefore, NotAfter: a.cert.NotAfter, IPAddresses: []net.IP{net.ParseIP(ip)},
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth, x509.ExtKeyUsageClientAuth}}
	raw, err := x509.CreateCertificate(rand.Reader, cert, a.cert, &key.PublicKey, a.key)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := func(name string) string { return filepath.Join(dir, name) }
	writePEM(t, file("cert.pem"), "CERTIFICATE", raw)
	writePEM(t, file("key.pem"), "PRIVATE KEY", secret)
	writePEM(t, file("ca.pem"), "CERTIFICATE", a.cert.Raw)
	return []string{"--tls-port", port, "--tls-cert-file", file("cert.pem"), "--tls-key-file", file("key.pem"), "--tls-ca-cert-file", file("ca.pem"), "--tls-auth-clients", "no"}
}

func writePEM(t testing.TB, file, kind string, data []byte) {
	t.Helper()
	if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: data}), 0o600); err != nil {
		t.Fatal(err)
	}
}

// secured is the URL of a server's encrypted port.
func (s *server) secured() string {
	return strings.Replace(strings.Replace(s.url(), "redis://", "rediss://", 1), s.addr, "127.0.0.1:"+s.arg("--tls-port"), 1)
}

func TestOpen_TLS(t *testing.T) {
	need(t, "redis-server")
	ours, other := trust(t), newAuthority(t)
	s, err := Open(t.Context(), start(t, ours.issue(t, "127.0.0.1", freePort(t))...).secured(), Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	everyScript(t, s)
	for _, c := range []struct {
		name, want string
		by         *authority
		ip         string
	}{
		{"another authority", "unknown authority", other, "127.0.0.1"},
		{"another address", "not 127.0.0.1", ours, "127.0.0.2"},
	} {
		srv := start(t, c.by.issue(t, c.ip, freePort(t))...)
		if s, err := Open(context.Background(), srv.secured(), Options{Workspace: "T1"}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
			if err == nil {
				s.Close()
			}
		}
	}
}
