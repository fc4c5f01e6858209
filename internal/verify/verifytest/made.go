// Package verifytest makes whole portfolios for tests: a log in memory, a record, proofs, drawn pages and a signature, in the order in
// which a centre makes them, and lets a test spoil any of it on the way. People, figures and pictures are portfoliotest's.
package verifytest

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math/big"
	"testing"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/ledger"
	"witnessmark/internal/pades"
	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// Origin is the name of the log.
const Origin = "hlt.0badcafe/log"

// Centre is a centre with its keys and its log so far.
type Centre struct {
	t        testing.TB
	Signer   note.Signer
	Key      string // public
	Identity pades.Identity
	Source   portfolio.Source
	Files    map[string][]byte // by digest
	leaves   [][]byte
	open     [][]ledger.Opening
	logged   map[uuid.UUID]bool
	states   []int64 // sizes at which earlier portfolios were made
}

// New is a centre that has logged nothing yet.
func New(t testing.TB) *Centre {
	t.Helper()
	c := &Centre{t: t, logged: map[uuid.UUID]bool{}}
	c.Signer, c.Key = LogKey(t, Origin)
	c.Identity = Certificate(t, "Harbour Lane Training Centre")
	c.Source, c.Files = portfoliotest.Source(t)
	return c
}

// LogKey is a new key of a log.
func LogKey(t testing.TB, name string) (note.Signer, string) {
	t.Helper()
	private, public, err := note.GenerateKey(rand.Reader, name)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(private)
	if err != nil {
		t.Fatal(err)
	}
	return s, public
}

// Certificate is a new certificate that nobody else vouches for.
func Certificate(t testing.TB, name string) pades.Identity {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(7), Subject: pkix.Name{CommonName: name}, KeyUsage: x509.KeyUsageDigitalSignature,
		NotBefore: portfoliotest.Start.AddDate(-1, 0, 0), NotAfter: portfoliotest.Start.AddDate(9, 0, 0), BasicConstraintsValid: true}
	der, err := x509.CreateCertificate(rand.Reader, form, form, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	return pades.Identity{Chain: []*x509.Certificate{cert}, Key: key}
}

// Spoil is what a test changes on the way; nil members change nothing.
type Spoil struct {
	Record   func(record []byte) []byte  // after it was logged
	Bundle   func(b *ledger.Bundle)      // after the log was signed
	Pages    func(d *portfolio.Document) // drawn, after it was logged
	Pictures func(digest string) []byte  // in place of a stored picture; nil for that itself
	Identity *pades.Identity             // signs the file in place of the one that was logged
	Unsigned bool                        // leaves the signature away
	Signers  []note.Signer               // sign the log in place of its key
	Witness  *ledger.WitnessSigner       // signs along
}

// log appends a leaf.
func (c *Centre) log(l ledger.Leaf) {
	leaf, open, err := l.Seal(3, rand.Reader)
	if err != nil {
		c.t.Fatal(err)
	}
	c.leaves, c.open = append(c.leaves, leaf), append(c.open, open)
}

// Decide logs every decision of the source that is not logged yet.
func (c *Centre) Decide() {
	c.t.Helper()
	if len(c.leaves) == 0 {
		c.log(ledger.Leaf{Kind: ledger.KindKey, At: portfoliotest.Start, Facts: map[string]string{"key": c.Key}})
	}
	for _, t := range c.Source.Tasks {
		for _, at := range t.Attempts {
			for _, r := range at.Records {
				if c.logged[r.ID] {
					continue
				}
				raw, err := r.Canonical()
				if err != nil {
					c.t.Fatal(err)
				}
				secrets := map[string]string{ledger.SecretRecord: string(raw)}
				if len(r.Evidence) > 0 {
					secrets[ledger.SecretBasis] = basis(c.t, at, r.Evidence)
				}
				c.log(ledger.Leaf{Kind: string(r.Kind), Subject: r.Attempt, At: r.At, Secrets: secrets})
				c.logged[r.ID] = true
			}
		}
	}
}

func basis(t testing.TB, at portfolio.Attempt, items []string) string {
	b := struct {
		Files []string `json:"files"`
	}{[]string{}}
	for _, e := range at.Evidence {
		for _, item := range items {
			if e.Item == item {
				b.Files = append(b.Files, e.Item+" "+e.Digest)
			}
		}
	}
	raw, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// Portfolio makes one as a centre does, and spoils it as s says.
func (c *Centre) Portfolio(s Spoil) []byte {
	c.t.Helper()
	c.Decide()
	d := portfolio.Assemble(c.Source)
	r, err := d.Record()
	if err != nil {
		c.t.Fatal(err)
	}
	record, err := r.JSON()
	if err != nil {
		c.t.Fatal(err)
	}
	facts := map[string]string{ledger.FactCertificate: Digest(c.Identity.Certificate().Raw)}
	if s.Unsigned {
		facts[ledger.FactCertificate] = ""
	}
	c.log(ledger.Leaf{Kind: ledger.KindPortfolio, Subject: c.Source.ID, At: c.Source.MadeAt, Facts: facts, Secrets: map[string]string{ledger.SecretRecord: Digest(record)}})
	b := c.bundle(s)
	if s.Bundle != nil {
		s.Bundle(&b)
	}
	proofs, err := b.JSON()
	if err != nil {
		c.t.Fatal(err)
	}
	if s.Record != nil {
		record = s.Record(record)
	}
	if s.Pages != nil {
		s.Pages(&d)
	}
	return c.draw(d, record, proofs, s)
}

// bundle is what the portfolio carries of the log.
func (c *Centre) bundle(s Spoil) ledger.Bundle {
	all := ledger.Hashes{}
	grown, err := ledger.Grow(0, c.leaves, all)
	if err != nil {
		c.t.Fatal(err)
	}
	for _, h := range grown {
		all[h.Index] = h.Hash
	}
	size := int64(len(c.leaves))
	root, err := ledger.Root(size, all)
	if err != nil {
		c.t.Fatal(err)
	}
	now := ledger.Checkpoint{Origin: Origin, Size: size, Root: root}
	signers := s.Signers
	if signers == nil {
		signers = []note.Signer{c.Signer}
	}
	signed, err := now.Sign(signers...)
	if err != nil {
		c.t.Fatal(err)
	}
	b := ledger.Bundle{Origin: Origin, Keys: []string{c.Key}, Checkpoint: signed}
	if s.Witness != nil {
		b.Checkpoint += s.Witness.Cosign(now, portfoliotest.Start.AddDate(0, 1, 0))
		b.Witnesses = []string{s.Witness.Text()}
	}
	for i, leaf := range c.leaves {
		path, err := ledger.Prove(size, int64(i), all)
		if err != nil {
			c.t.Fatal(err)
		}
		b.Entries = append(b.Entries, ledger.Entry{Index: int64(i), Leaf: leaf, Path: path, Openings: c.open[i]})
	}
	for _, was := range c.states {
		old := ledger.Checkpoint{Origin: Origin, Size: was}
		if old.Root, err = ledger.Root(was, all); err != nil {
			c.t.Fatal(err)
		}
		proof, err := ledger.Continues(old, size, root, all)
		if err != nil {
			c.t.Fatal(err)
		}
		b.Earlier = append(b.Earlier, ledger.Earlier{Size: was, Proof: proof})
	}
	c.states = append(c.states, size)
	return b
}

func (c *Centre) draw(d portfolio.Document, record, proofs []byte, s Spoil) []byte {
	by := c.Identity
	if s.Identity != nil {
		by = *s.Identity
	}
	o := pdf.Options{
		Attachments: []pdf.Attachment{
			{Name: "record.json", MediaType: "application/json", Description: "The record", Relationship: "Data", Made: d.MadeAt, Data: record},
			{Name: "log.json", MediaType: "application/json", Description: "The log's proofs", Relationship: "Supplement", Made: d.MadeAt, Data: proofs},
		},
		Open: func(digest string) (io.ReadCloser, error) {
			data, ok := c.Files[digest]
			if s.Pictures != nil {
				if other := s.Pictures(digest); other != nil {
					data, ok = other, true
				}
			}
			if !ok {
				return nil, fmt.Errorf("there is no file %s", digest)
			}
			return io.NopCloser(bytes.NewReader(data)), nil
		},
	}
	if !s.Unsigned {
		at := d.MadeAt.Truncate(time.Second)
		o.Sign = &pdf.Signing{Name: d.CentreName, At: at, Sign: func(digest [sha256.Size]byte) ([]byte, error) { return pades.Sign(digest, by, at, nil) }}
	}
	var out bytes.Buffer
	if _, err := pdf.Portfolio(c.t.Context(), &out, d, o); err != nil {
		c.t.Fatal(err)
	}
	return out.Bytes()
}

// Digest is the SHA-256 in hex.
func Digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
