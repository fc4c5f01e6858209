package keyring_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/keyring"
	"witnessmark/internal/pades"
	"witnessmark/internal/pades/padestest"
)

func ring(t *testing.T) (*keyring.Ring, string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "keys")
	r, err := keyring.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return r, dir
}

// A centre's own certificate is an X.509 v3 one for signing, in its name, and stays until another is put in place.
func TestOwnCertificate(t *testing.T) {
	r, dir := ring(t)
	now := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	if _, err := r.Certificate(3); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("before there is one: %v", err)
	}
	made, err := r.CertificateOrNew(3, "Ærøskøbing "+strings.Repeat("x", 80), now)
	if err != nil {
		t.Fatal(err)
	}
	c := made.Certificate()
	if c.Version != 3 || c.KeyUsage != x509.KeyUsageDigitalSignature|x509.KeyUsageContentCommitment || c.IsCA || len([]rune(c.Subject.CommonName)) != 64 {
		t.Errorf("version %d, usage %b, CA %v, name %q", c.Version, c.KeyUsage, c.IsCA, c.Subject.CommonName)
	}
	if err := made.Check(now.AddDate(9, 11, 0)); err != nil {
		t.Error(err)
	}
	if err := made.Check(now.AddDate(10, 0, 1)); err == nil {
		t.Error("it never ends")
	}
	again, err := r.CertificateOrNew(3, "Another", now)
	if err != nil || !again.Certificate().Equal(c) {
		t.Errorf("asked again: %v, %v", again.Chain, err)
	}
	other, err := r.NewCertificate(3, "Another", now)
	if err != nil || other.Certificate().Equal(c) {
		t.Errorf("made anew: %v, %v", other.Chain, err)
	}
	kept, err := r.Certificate(3)
	if err != nil || !kept.Certificate().Equal(other.Certificate()) || kept.Check(now) != nil {
		t.Errorf("kept: %v, %v", kept.Chain, err)
	}
	if info, err := os.Stat(filepath.Join(dir, "3", "signing.pem")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file: %v, %v", info, err)
	}
}

func TestBroughtCertificate(t *testing.T) {
	r, _ := ring(t)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	root := padestest.Root(t, "Awarding Root")
	id := padestest.Issue(t, root, &x509.Certificate{Subject: pkix.Name{CommonName: "Northgate"}, KeyUsage: x509.KeyUsageContentCommitment}, key)
	other := padestest.Issue(t, pades.Identity{}, &x509.Certificate{Subject: pkix.Name{CommonName: "Other"}}, root.Key)
	sec1, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	chain, pkcs8 := padestest.PEM(id.Chain...), padestest.KeyPEM(t, key)
	words := append([]byte("Bag Attributes\n    friendlyName: northgate\n"), chain...) // as openssl pkcs12 writes it
	for name, tt := range map[string]struct {
		certificates, key []byte
		want              string // "" where it is taken
	}{
		"PKCS 8":                {chain, pkcs8, ""},
		"SEC 1":                 {words, pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: sec1}), ""},
		"one file":              {append(append([]byte{}, pkcs8...), chain...), nil, ""},
		"another's key":         {padestest.PEM(other.Certificate()), pkcs8, "not the certificate's"},
		"the chain upside down": {padestest.PEM(id.Chain[1], id.Chain[0]), pkcs8, "not the certificate's"},
		"no key":                {chain, nil, "no private key"},
		"no certificate":        {nil, pkcs8, "no certificate"},
		"two keys":              {chain, append(append([]byte{}, pkcs8...), pkcs8...), "two private keys"},
		"locked":                {chain, pem.EncodeToMemory(&pem.Block{Type: "ENCRYPTED PRIVATE KEY", Bytes: []byte{1}}), "password"},
		"locked the old way":    {chain, pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Headers: map[string]string{"DEK-Info": "AES-128-CBC,00"}, Bytes: sec1}), "password"},
		"broken":                {chain, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: []byte{1}}), "read the private key"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := r.BringCertificate(7, tt.certificates, tt.key, time.Now())
			if tt.want != "" {
				if err == nil || !strings.Contains(err.Error(), tt.want) {
					t.Errorf("got %v, want …%s…", err, tt.want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			kept, err := r.Certificate(7)
			if err != nil || len(kept.Chain) != 2 || !kept.Certificate().Equal(id.Certificate()) {
				t.Errorf("kept %v, %v", kept.Chain, err)
			}
		})
	}
}
