// Package padestest is what tests of signatures need: identities of several kinds, and a time-stamp authority, which is OpenSSL's
// own (openssl ts) behind a server on loopback.
package padestest

import (
	"crypto"
	"crypto/rand"
	"crypto/rsa"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"witnessmark/internal/pades"
)

// Authority is a time-stamp authority.
type Authority struct {
	URL  string            // takes queries as RFC 3161, 3.4, says
	Root *x509.Certificate // that its certificate leads to
	dir  string
}

const config = `[ tsa ]
default_tsa = this
[ this ]
serial = %[1]s/serial
crypto_device = builtin
signer_cert = %[1]s/tsa.pem
certs = %[1]s/root.pem
signer_key = %[1]s/tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
accuracy = secs:1
ess_cert_id_chain = no
ess_cert_id_alg = sha256
`

// oidExtKeyUsage and oidTimeStamping: RFC 3161, 2.3, wants this use alone, and critical.
var (
	oidExtKeyUsage  = asn1.ObjectIdentifier{2, 5, 29, 37}
	oidTimeStamping = asn1.ObjectIdentifier{1, 3, 6, 1, 5, 5, 7, 3, 8}
)

// NewAuthority starts one, which ends with the test.
func NewAuthority(t testing.TB) *Authority {
	t.Helper()
	a := &Authority{dir: t.TempDir()}
	root := Root(t, "Time Root")
	a.Root = root.Certificate()
	only, err := asn1.Marshal([]asn1.ObjectIdentifier{oidTimeStamping})
	check(t, err)
	signer := Issue(t, root, &x509.Certificate{Subject: pkix.Name{CommonName: "Northern Time"}, KeyUsage: x509.KeyUsageDigitalSignature,
		ExtraExtensions: []pkix.Extension{{Id: oidExtKeyUsage, Critical: true, Value: only}}}, newRSA(t))
	a.write(t, "root.pem", PEM(root.Chain...))
	a.write(t, "tsa.pem", PEM(signer.Chain[0]))
	a.write(t, "tsa.key", KeyPEM(t, signer.Key))
	a.write(t, "serial", []byte("01\n"))
	a.write(t, "ts.cnf", fmt.Appendf(nil, config, a.dir))
	s := httptest.NewServer(http.HandlerFunc(a.serve))
	t.Cleanup(s.Close)
	a.URL = s.URL
	return a
}

func (a *Authority) write(t testing.TB, name string, content []byte) {
	t.Helper()
	check(t, os.WriteFile(filepath.Join(a.dir, name), content, 0o600))
}

func (a *Authority) serve(w http.ResponseWriter, r *http.Request) {
	query, err := io.ReadAll(r.Body)
	if err != nil || r.Header.Get("Content-Type") != pades.QueryType {
		http.Error(w, "no query", http.StatusBadRequest)
		return
	}
	reply, err := a.Reply(query)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", pades.ReplyType)
	_, _ = w.Write(reply) // a client that went away is its own affair
}

// Reply answers a query.
func (a *Authority) Reply(query []byte) ([]byte, error) {
	f, err := os.CreateTemp(a.dir, "query-*")
	if err != nil {
		return nil, err
	}
	if _, err := f.Write(query); err != nil {
		return nil, err
	}
	if err := f.Close(); err != nil {
		return nil, err
	}
	out := f.Name() + ".reply"
	said, err := exec.Command("openssl", "ts", "-reply", "-config", filepath.Join(a.dir, "ts.cnf"), "-queryfile", f.Name(), "-out", out).CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("openssl ts: %w: %s", err, said)
	}
	return os.ReadFile(out)
}

// Stamp gets a token as a signer does.
func (a *Authority) Stamp(imprint [32]byte) ([]byte, error) {
	nonce := big.NewInt(time.Now().UnixNano())
	query, err := pades.Query(imprint, nonce)
	if err != nil {
		return nil, err
	}
	reply, err := a.Reply(query)
	if err != nil {
		return nil, err
	}
	return pades.Reply(reply, imprint, nonce)
}

// Root is a certificate that issues others.
func Root(t testing.TB, name string) pades.Identity {
	t.Helper()
	return Issue(t, pades.Identity{}, &x509.Certificate{Subject: pkix.Name{CommonName: name}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}, newRSA(t))
}

// Issue makes a certificate for the key, with a random number and in force from yesterday for a year where the form says nothing else;
// by nobody means itself.
func Issue(t testing.TB, by pades.Identity, form *x509.Certificate, key crypto.Signer) pades.Identity {
	t.Helper()
	if form.SerialNumber == nil {
		serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 100))
		check(t, err)
		form.SerialNumber = serial
	}
	if form.NotBefore.IsZero() {
		form.NotBefore, form.NotAfter = time.Now().AddDate(0, 0, -1), time.Now().AddDate(1, 0, 0)
	}
	parent, signer := form, key
	if len(by.Chain) > 0 {
		parent, signer = by.Certificate(), by.Key
	}
	der, err := x509.CreateCertificate(rand.Reader, form, parent, key.Public(), signer)
	check(t, err)
	c, err := x509.ParseCertificate(der)
	check(t, err)
	return pades.Identity{Chain: append([]*x509.Certificate{c}, by.Chain...), Key: key}
}

func newRSA(t testing.TB) crypto.Signer {
	t.Helper()
	key, err := rsa.GenerateKey(rand.Reader, 2048)
	check(t, err)
	return key
}

// PEM writes certificates.
func PEM(cs ...*x509.Certificate) []byte {
	var out []byte
	for _, c := range cs {
		out = append(out, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: c.Raw})...)
	}
	return out
}

// KeyPEM writes a private key (PKCS #8).
func KeyPEM(t testing.TB, key crypto.Signer) []byte {
	t.Helper()
	der, err := x509.MarshalPKCS8PrivateKey(key)
	check(t, err)
	return pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der})
}

func check(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
