package pades_test

import (
	"bytes"
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/digitorus/pkcs7"

	"witnessmark/internal/pades"
	"witnessmark/internal/pades/padestest"
)

var content = []byte("every byte of the file but the signature's own place")

func rsaKey(t *testing.T, bits int) crypto.Signer {
	t.Helper()
	k, err := rsa.GenerateKey(rand.Reader, bits)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func ecKey(t *testing.T, c elliptic.Curve) crypto.Signer {
	t.Helper()
	k, err := ecdsa.GenerateKey(c, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func centre(name string) *x509.Certificate {
	return &x509.Certificate{Subject: pkix.Name{CommonName: name}, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageContentCommitment}
}

func sign(t *testing.T, by pades.Identity, stamp pades.Stamper) []byte {
	t.Helper()
	cms, err := pades.Sign(sha256.Sum256(content), by, time.Now(), stamp)
	if err != nil {
		t.Fatal(err)
	}
	return cms
}

// Each kind of key and chain signs; OpenSSL and a library of others take the result too.
func TestSignAndVerify(t *testing.T) {
	root := padestest.Root(t, "Awarding Root")
	between := padestest.Issue(t, root, &x509.Certificate{Subject: pkix.Name{CommonName: "Centres"}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}, ecKey(t, elliptic.P256()))
	for name, by := range map[string]pades.Identity{
		"RSA of its own":     padestest.Issue(t, pades.Identity{}, centre("Northgate"), rsaKey(t, 2048)),
		"P-256 of its own":   padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256())),
		"P-384 from a root":  padestest.Issue(t, root, centre("Northgate"), ecKey(t, elliptic.P384())),
		"RSA through a link": padestest.Issue(t, between, centre("Northgate"), rsaKey(t, 3072)),
	} {
		t.Run(name, func(t *testing.T) {
			cms := sign(t, by, nil)
			r, err := pades.Verify(append(cms[:len(cms):len(cms)], make([]byte, 100)...), sha256.Sum256(content))
			if err != nil {
				t.Fatal(err)
			}
			if !r.Certificate.Equal(by.Certificate()) || len(r.Chain) != len(by.Chain) || r.Stamp != nil {
				t.Errorf("got %v by a chain of %d with %v, want %v by %d", r.Certificate.Subject, len(r.Chain), r.Stamp, by.Certificate().Subject, len(by.Chain))
			}
			if r.SelfSigned() != (len(by.Chain) == 1) {
				t.Errorf("self-signed: %v", r.SelfSigned())
			}
			openssl(t, cms, by)
			theirs, err := pkcs7.Parse(cms)
			if err != nil {
				t.Fatal(err)
			}
			theirs.Content = content
			if err := theirs.Verify(); err != nil {
				t.Errorf("another library: %v", err)
			}
			var at time.Time
			if err := theirs.UnmarshalSignedAttribute(pkcs7.OIDAttributeSigningTime, &at); err == nil {
				t.Errorf("it states the signing time %v, which belongs into the PDF alone (EN 319 142-1, 6.3)", at)
			}
		})
	}
}

// openssl has OpenSSL check a detached CMS against what it is of.
func openssl(t *testing.T, cms []byte, by pades.Identity) {
	t.Helper()
	dir := t.TempDir()
	for name, b := range map[string][]byte{"cms": cms, "content": content, "root": padestest.PEM(by.Chain[len(by.Chain)-1])} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	run := func(file string) (string, error) {
		cmd := exec.CommandContext(t.Context(), "openssl", "cms", "-verify", "-cades", "-binary", "-inform", "DER", "-in", "cms", "-content", file, "-CAfile", "root", "-purpose", "any", "-out", "out")
		cmd.Dir = dir
		said, err := cmd.CombinedOutput()
		return string(said), err
	}
	if said, err := run("content"); err != nil || !strings.Contains(said, "successful") {
		t.Errorf("openssl cms -verify: %v\n%s", err, said)
	}
	if said, err := run("root"); err == nil {
		t.Errorf("openssl took the signature of something else: %s", said)
	}
}

func TestVerifyOtherBytes(t *testing.T) {
	by := padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256()))
	_, err := pades.Verify(sign(t, by, nil), sha256.Sum256([]byte("another file")))
	if !errors.Is(err, pades.ErrAltered) || !strings.Contains(err.Error(), "another digest") {
		t.Errorf("got %v", err)
	}
}

// No bit of a signature can be flipped so that it says something else: it is refused, or still says that the same key signed.
func TestVerifyEachFlippedBit(t *testing.T) {
	by := padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256()))
	cms := sign(t, by, padestest.NewAuthority(t).Stamp)
	want, err := pades.Verify(cms, sha256.Sum256(content))
	if err != nil {
		t.Fatal(err)
	}
	refused := 0
	for i := range len(cms) * 8 {
		b := bytes.Clone(cms)
		b[i/8] ^= 1 << (i % 8)
		r, err := pades.Verify(b, sha256.Sum256(content))
		switch {
		case errors.Is(err, pades.ErrAltered), errors.Is(err, pades.ErrUnreadable):
			refused++
		case err != nil:
			t.Fatalf("bit %d: %v is neither altered nor unreadable", i, err)
		case !r.Certificate.Equal(by.Certificate()) || r.Stamp != nil && !r.Stamp.At.Equal(want.Stamp.At):
			t.Fatalf("bit %d: now by %v at %v", i, r.Certificate.Subject, r.Stamp)
		}
	}
	if part := float64(refused) / float64(len(cms)*8); part < 0.5 {
		t.Errorf("only %.0f %% of the flips were refused", 100*part)
	}
}

// A certificate put in the place of the one that signed is noticed, even with the same key, name and number.
func TestVerifyAnotherCertificate(t *testing.T) {
	key := rsaKey(t, 2048) // whose signatures are equally long
	by := padestest.Issue(t, pades.Identity{}, centre("Northgate"), key)
	form := centre("Northgate")
	form.NotBefore, form.NotAfter = by.Certificate().NotBefore, by.Certificate().NotAfter.AddDate(20, 0, 0) // the same length in DER
	form.SerialNumber = by.Certificate().SerialNumber
	other := padestest.Issue(t, pades.Identity{}, form, key)
	mixed := bytes.Replace(sign(t, by, nil), by.Certificate().Raw, other.Certificate().Raw, 1)
	if _, err := pades.Verify(mixed, sha256.Sum256(content)); !errors.Is(err, pades.ErrAltered) || !strings.Contains(err.Error(), "its certificate") {
		t.Errorf("got %v", err)
	}
}

func TestIdentitiesThatCannotSign(t *testing.T) {
	good := padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256()))
	other := padestest.Issue(t, pades.Identity{}, centre("Other"), ecKey(t, elliptic.P256()))
	forTLS := centre("Northgate")
	forTLS.KeyUsage = x509.KeyUsageKeyEncipherment
	for name, tt := range map[string]struct {
		by   pades.Identity
		at   time.Time
		want string
	}{
		"nothing":              {pades.Identity{}, time.Now(), "no certificate"},
		"another's key":        {pades.Identity{Chain: good.Chain, Key: other.Key}, time.Now(), "not the certificate's"},
		"a chain of strangers": {pades.Identity{Chain: append(good.Chain[:1:1], other.Chain...), Key: good.Key}, time.Now(), "not issued by"},
		"too early":            {good, time.Now().AddDate(0, 0, -3), "in force from"},
		"run out":              {good, time.Now().AddDate(2, 0, 0), "in force from"},
		"a short key":          {padestest.Issue(t, pades.Identity{}, centre("Northgate"), rsaKey(t, 1024)), time.Now(), "1024 bits"},
		"for something else":   {padestest.Issue(t, pades.Identity{}, forTLS, ecKey(t, elliptic.P256())), time.Now(), "not for signing"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := pades.Sign(sha256.Sum256(content), tt.by, tt.at, nil)
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want …%s…", err, tt.want)
			}
		})
	}
}

func TestUnreadable(t *testing.T) {
	by := padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256()))
	cms := sign(t, by, nil)
	for name, b := range map[string][]byte{
		"nothing": nil, "zeros": make([]byte, 100), "words": []byte("no signature"), "cut": cms[:len(cms)-1],
		"with something behind": append(bytes.Clone(cms), 0, 0, 1), "too long": make([]byte, 2<<20),
	} {
		if _, err := pades.Verify(b, sha256.Sum256(content)); !errors.Is(err, pades.ErrUnreadable) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzVerify(f *testing.F) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		f.Fatal(err)
	}
	by := padestest.Issue(f, pades.Identity{}, centre("Northgate"), key)
	digest := sha256.Sum256(content)
	cms, err := pades.Sign(digest, by, time.Now(), nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(cms)
	f.Add([]byte{0x30, 0x80, 0, 0})
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := pades.Verify(b, digest)
		if err != nil && !errors.Is(err, pades.ErrAltered) && !errors.Is(err, pades.ErrUnreadable) {
			t.Errorf("%v is neither altered nor unreadable", err)
		}
		if err == nil && (r.Certificate == nil || len(r.Chain) == 0) {
			t.Error("it holds, and nobody signed")
		}
	})
}
