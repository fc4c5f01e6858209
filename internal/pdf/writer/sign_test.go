package writer_test

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/pades"
	"witnessmark/internal/pades/padestest"
	"witnessmark/internal/pdf/writer"
)

var signedAt = time.Date(2026, 5, 4, 11, 30, 0, 0, time.UTC)

// signed is a file of one picture, signed by a centre's own certificate.
func signed(t *testing.T, stamp pades.Stamper) []byte {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	by := padestest.Issue(t, pades.Identity{}, &x509.Certificate{
		Subject: pkix.Name{CommonName: "Łódź & Northgate"}, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageContentCommitment,
		NotBefore: signedAt.AddDate(0, 0, -1), NotAfter: time.Now().AddDate(9, 0, 0),
	}, key)
	b, err := signWith(t, writer.Signing{Name: "Łódź & Northgate", Reason: "Portfolio (all of it)", At: signedAt, Sign: func(digest [32]byte) ([]byte, error) {
		return pades.Sign(digest, by, signedAt, stamp)
	}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func signWith(t *testing.T, s writer.Signing) ([]byte, error) {
	t.Helper()
	var b bytes.Buffer
	f := writer.New(&b, writer.Meta{Title: "Signed", Language: "en-GB", Created: signedAt})
	f.SetSigning(s)
	m, err := f.AddJPEG("one", bytes.NewReader(read(t, "quarters-baseline.jpg")), 1)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		p := f.Page(96, 96)
		p.Image(m, 0, 0, 96, 96)
		p.Close()
	}
	err = f.Close()
	return b.Bytes(), err
}

var byteRange = regexp.MustCompile(`/ByteRange \[0 +(\d+) +(\d+) +(\d+)\]`)

// parts are the bytes that a file's signature is of, and the signature.
func parts(t *testing.T, file []byte) (of, cms []byte) {
	t.Helper()
	m := byteRange.FindSubmatch(file)
	if m == nil {
		t.Fatal("no ByteRange")
	}
	var n [3]int
	for i := range n {
		var err error
		if n[i], err = strconv.Atoi(string(m[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if n[1]+n[2] != len(file) || file[n[0]] != '<' || file[n[1]-1] != '>' {
		t.Fatalf("the signature's place is %v of %d bytes", n, len(file))
	}
	cms, err := hex.DecodeString(string(file[n[0]+1 : n[1]-1]))
	if err != nil {
		t.Fatal(err)
	}
	return append(bytes.Clone(file[:n[0]]), file[n[1]:]...), cms
}

func lay(t *testing.T, b []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "signed.pdf")
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// pdfsig is Poppler's word on a signature; its exit code is of no use.
func pdfsig(t *testing.T, b []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdfsig"); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), "pdfsig", "-nocert", lay(t, b)).CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return string(out)
}

func TestSignature(t *testing.T) {
	for name, stamp := range map[string]pades.Stamper{"without a time-stamp": nil, "with a time-stamp": padestest.NewAuthority(t).Stamp} {
		t.Run(name, func(t *testing.T) {
			b := signed(t, stamp)
			of, cms := parts(t, b)
			r, err := pades.Verify(cms, sha256.Sum256(of))
			if err != nil || (r.Stamp != nil) != (stamp != nil) {
				t.Errorf("got %+v, %v", r, err)
			}
			tool(t, "qpdf", "--check", lay(t, b))
			said := pdfsig(t, b)
			for _, want := range []string{"Signature Validation: Signature is Valid.", "Total document signed", "ETSI.CAdES.detached", "Signer Certificate Common Name: Łódź & Northgate", "Signing Hash Algorithm: SHA-256"} {
				if !strings.Contains(said, want) {
					t.Errorf("pdfsig does not say %q:\n%s", want, said)
				}
			}
		})
	}
}

// A byte that was changed anywhere is told by Poppler and by us.
func TestSignatureAltered(t *testing.T) {
	b := signed(t, nil)
	at := bytes.Index(b, []byte("/MediaBox [0 0 96"))
	if at < 0 {
		t.Fatal("no page")
	}
	b[at+len("/MediaBox [0 0 ")] = '8'
	of, cms := parts(t, b)
	if _, err := pades.Verify(cms, sha256.Sum256(of)); !errors.Is(err, pades.ErrAltered) {
		t.Errorf("got %v", err)
	}
	if said := pdfsig(t, b); !strings.Contains(said, "Signature Validation: Digest Mismatch.") {
		t.Errorf("pdfsig says\n%s", said)
	}
}

// A signature that cannot be made, or has no room, leaves no file that looks whole.
func TestSignatureFails(t *testing.T) {
	trouble := errors.New("the authority is away")
	for name, s := range map[string]writer.Signing{
		"not made": {Name: "N", At: signedAt, Sign: func([32]byte) ([]byte, error) { return nil, trouble }},
		"too long": {Name: "N", At: signedAt, Room: 10, Sign: func([32]byte) ([]byte, error) { return make([]byte, 11), nil }},
	} {
		b, err := signWith(t, s)
		if err == nil || bytes.Contains(b, []byte("%%EOF")) {
			t.Errorf("%s: got %v with %d bytes that end as a file does", name, err, len(b))
		}
		if name == "not made" && !errors.Is(err, trouble) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

// told is a writer that keeps the digest itself.
type told struct {
	bytes.Buffer
	hash hash.Hash
}

func (d *told) Write(b []byte) (int, error) {
	d.hash.Write(b)
	return d.Buffer.Write(b)
}

func (d *told) SHA256() hash.Hash {
	c, err := d.hash.(hash.Cloner).Clone()
	if err != nil {
		panic(err)
	}
	return c
}

// Who hashes what is written is asked for the digest, which is the same: the file has the same bytes and the same signature.
func TestSignatureOfADigester(t *testing.T) {
	var got [2][]byte
	for i := range got {
		var plain bytes.Buffer
		own := &told{hash: sha256.New()}
		w := []io.Writer{&plain, own}[i]
		f := writer.New(w, writer.Meta{Title: "Signed", Language: "en-GB", Created: signedAt})
		f.SetSigning(writer.Signing{Name: "N", At: signedAt, Sign: func(digest [32]byte) ([]byte, error) { return digest[:], nil }})
		f.Page(96, 96).Close()
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		got[i] = append(plain.Bytes(), own.Bytes()...)
	}
	if !bytes.Equal(got[0], got[1]) {
		t.Error("the files differ")
	}
	of, cms := parts(t, got[1])
	if sum := sha256.Sum256(of); !bytes.Equal(sum[:], cms[:32]) {
		t.Errorf("signed was %x, the file has %x", cms[:32], sum)
	}
}
