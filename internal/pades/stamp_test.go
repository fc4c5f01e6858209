package pades_test

import (
	"crypto/elliptic"
	"crypto/sha256"
	"crypto/x509"
	"errors"
	"math/big"
	"strings"
	"testing"
	"time"

	"github.com/digitorus/timestamp"

	"witnessmark/internal/pades"
	"witnessmark/internal/pades/padestest"
)

// OpenSSL's authority stamps a signature; the stamp is read back with its time and its authority.
func TestStamp(t *testing.T) {
	a := padestest.NewAuthority(t)
	by := padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256()))
	before := time.Now().Truncate(time.Second)
	cms := sign(t, by, a.Stamp)
	openssl(t, cms, by)
	r, err := pades.Verify(cms, sha256.Sum256(content))
	if err != nil {
		t.Fatal(err)
	}
	s := r.Stamp
	if s == nil || s.At.Before(before) || s.At.After(time.Now()) || s.Accuracy != time.Second || s.Certificate.Subject.CommonName != "Northern Time" {
		t.Fatalf("got %+v", s)
	}
	roots, strangers := x509.NewCertPool(), x509.NewCertPool()
	roots.AddCert(a.Root)
	strangers.AddCert(padestest.Root(t, "Somebody").Certificate())
	if err := s.TrustedBy(roots); err != nil {
		t.Error(err)
	}
	if err := s.TrustedBy(strangers); err == nil {
		t.Error("trusted by a root that knows nothing of it")
	}
}

// The token of another signature proves nothing of this one.
func TestStampOfAnotherSignature(t *testing.T) {
	a := padestest.NewAuthority(t)
	by := padestest.Issue(t, pades.Identity{}, centre("Northgate"), ecKey(t, elliptic.P256()))
	_, err := pades.Sign(sha256.Sum256(content), by, time.Now(), func([32]byte) ([]byte, error) { return a.Stamp(sha256.Sum256([]byte("another"))) })
	if !errors.Is(err, pades.ErrAltered) || !strings.Contains(err.Error(), "something else") {
		t.Errorf("got %v", err)
	}
	_, err = pades.Sign(sha256.Sum256(content), by, time.Now(), func([32]byte) ([]byte, error) { return nil, errors.New("no signal") })
	if err == nil || !strings.Contains(err.Error(), "no signal") {
		t.Errorf("got %v", err)
	}
}

// A library of others reads our query and, as an authority, is understood; what does not fit the question is refused.
func TestReply(t *testing.T) {
	imprint, nonce := sha256.Sum256(content), big.NewInt(0).Lsh(big.NewInt(77), 100)
	query, err := pades.Query(imprint, nonce)
	if err != nil {
		t.Fatal(err)
	}
	asked, err := timestamp.ParseRequest(query)
	if err != nil || asked.Nonce.Cmp(nonce) != 0 || !asked.Certificates || string(asked.HashedMessage) != string(imprint[:]) {
		t.Fatalf("another library reads our query as %+v, %v", asked, err)
	}
	form := centre("Their Time")
	form.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping}
	authority := padestest.Issue(t, pades.Identity{}, form, rsaKey(t, 2048))
	stranger := padestest.Issue(t, pades.Identity{}, centre("No Time"), rsaKey(t, 2048))
	reply := func(by pades.Identity, of [32]byte, nonce *big.Int, certificate bool, at time.Time) []byte {
		t.Helper()
		answer := timestamp.Timestamp{HashAlgorithm: asked.HashAlgorithm, HashedMessage: of[:], Time: at, Nonce: nonce, Policy: []int{1, 2, 3}, AddTSACertificate: certificate}
		der, err := answer.CreateResponseWithOpts(by.Certificate(), by.Key, asked.HashAlgorithm)
		if err != nil {
			t.Fatal(err)
		}
		return der
	}
	refusal, err := timestamp.CreateErrorResponse(timestamp.Rejection, timestamp.BadRequest)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	for name, tt := range map[string]struct {
		reply []byte
		want  string // "" where it is taken
	}{
		"good":                  {reply(authority, imprint, nonce, true, now), ""},
		"another question's":    {reply(authority, imprint, big.NewInt(78), true, now), "nonce"},
		"without a nonce":       {reply(authority, imprint, nil, true, now), "nonce"},
		"of something else":     {reply(authority, sha256.Sum256(nil), nonce, true, now), "something else"},
		"by no authority":       {reply(stranger, imprint, nonce, true, now), "not for time-stamps"},
		"without a certificate": {reply(authority, imprint, nonce, false, now), "certificate is not in it"},
		"by one who ran out":    {reply(authority, imprint, nonce, true, now.AddDate(3, 0, 0)), "in force from"},
		"refused":               {refusal, "refused (status 2"},
		"nothing":               {nil, "none of RFC 3161"},
		"words":                 {[]byte("busy"), "none of RFC 3161"},
	} {
		token, err := pades.Reply(tt.reply, imprint, nonce)
		if tt.want == "" && (err != nil || len(token) == 0) || tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
			t.Errorf("%s: got %v, want …%s…", name, err, tt.want)
		}
	}
}
