package pades

import (
	"bytes"
	"crypto/sha256"
	_ "crypto/sha512" // SHA-384 and SHA-512, which authorities sign with
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"
)

// Stamp is a time-stamp that holds: an authority's word that the signature was there at that time. Whether the authority is to
// be trusted is asked by TrustedBy alone.
type Stamp struct {
	At          time.Time
	Accuracy    time.Duration // to either side; 0 where none is stated
	Serial      string        // of the token, in decimal
	Certificate *x509.Certificate
	Chain       []*x509.Certificate // of the authority, as far as the token brings it
}

// TrustedBy says whether the authority's certificate leads to one of the roots, at the time of the stamp.
func (s Stamp) TrustedBy(roots *x509.CertPool) error {
	between := x509.NewCertPool()
	for _, c := range s.Chain[1:] {
		between.AddCert(c)
	}
	_, err := s.Certificate.Verify(x509.VerifyOptions{Roots: roots, Intermediates: between, CurrentTime: s.At,
		KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping}})
	return err
}

// tstInfo is what an authority signs (RFC 3161, 2.4.2).
type tstInfo struct {
	Version    int
	Policy     asn1.ObjectIdentifier
	Imprint    messageImprint
	Serial     *big.Int
	At         time.Time        `asn1:"generalized"`
	Accuracy   accuracy         `asn1:"optional"`
	Ordering   bool             `asn1:"optional"`
	Nonce      *big.Int         `asn1:"optional"`
	Authority  asn1.RawValue    `asn1:"optional,explicit,tag:0"`
	Extensions []pkix.Extension `asn1:"optional,tag:1"`
}

type messageImprint struct {
	Algorithm pkix.AlgorithmIdentifier
	Digest    []byte
}

type accuracy struct {
	Seconds int `asn1:"optional"`
	Millis  int `asn1:"optional,tag:0"`
	Micros  int `asn1:"optional,tag:1"`
}

func (a accuracy) duration() time.Duration {
	return time.Duration(a.Seconds)*time.Second + time.Duration(a.Millis)*time.Millisecond + time.Duration(a.Micros)*time.Microsecond
}

// readStamp holds a token against the digest of the signature that it is to stamp.
func readStamp(token []byte, imprint [sha256.Size]byte) (*Stamp, error) {
	st, _, err := readToken(token, imprint)
	if err != nil {
		return nil, fmt.Errorf("the time-stamp: %w", err)
	}
	return st, nil
}

func readToken(token []byte, imprint [sha256.Size]byte) (*Stamp, tstInfo, error) {
	var info tstInfo
	s, err := open(token)
	if err != nil {
		return nil, info, err
	}
	if !s.data.Content.Type.Equal(oidTSTInfo) || !whole(s.data.Content.Content, &info) || info.Serial == nil {
		return nil, info, unreadable("it is no token of RFC 3161")
	}
	hash, ok := hashOf(s.info.Digest)
	if !ok {
		return nil, info, unreadable("its digest is none of SHA-2")
	}
	h := hash.New()
	h.Write(s.data.Content.Content)
	if err := s.holds(h.Sum(nil)); err != nil {
		return nil, info, err
	}
	if !info.Imprint.Algorithm.Algorithm.Equal(oidSHA256) || !bytes.Equal(info.Imprint.Digest, imprint[:]) {
		return nil, info, altered("it is of something else than this signature")
	}
	if !slices.Contains(s.signer.ExtKeyUsage, x509.ExtKeyUsageTimeStamping) {
		return nil, info, altered("“%s” signed it, whose certificate is not for time-stamps", s.signer.Subject.CommonName)
	}
	st := &Stamp{At: info.At.UTC(), Accuracy: info.Accuracy.duration(), Serial: info.Serial.String(), Certificate: s.signer, Chain: chainOf(s.signer, s.certs)}
	if err := inForce(st.Chain[:1], st.At); err != nil {
		return nil, info, altered("%v", err)
	}
	return st, info, nil
}

// stamped makes the attribute of a token that holds.
func stamped(token []byte, imprint [sha256.Size]byte) ([]attribute, error) {
	if _, err := readStamp(token, imprint); err != nil {
		return nil, err
	}
	a, err := newAttribute(oidTimeStamp, asn1.RawValue{FullBytes: token})
	return []attribute{a}, err
}

// The media types that a query and its reply travel under (RFC 3161, 3.4).
const (
	QueryType = "application/timestamp-query"
	ReplyType = "application/timestamp-reply"
)

// Query asks an authority in DER to stamp a SHA-256, with its certificate in the answer. The nonce is a large random number that
// the reply has to repeat.
func Query(imprint [sha256.Size]byte, nonce *big.Int) ([]byte, error) {
	der, err := asn1.Marshal(struct {
		Version     int
		Imprint     messageImprint
		Nonce       *big.Int
		Certificate bool
	}{1, messageImprint{pkix.AlgorithmIdentifier{Algorithm: oidSHA256, Parameters: asn1.NullRawValue}, imprint[:]}, nonce, true})
	if err != nil {
		return nil, fmt.Errorf("ask for a time-stamp: %w", err)
	}
	return der, nil
}

// Reply reads an authority's answer to a query and gives the token, once it holds for what was asked.
func Reply(der []byte, imprint [sha256.Size]byte, nonce *big.Int) ([]byte, error) {
	var reply struct {
		Status struct {
			Status int
			Words  asn1.RawValue  `asn1:"optional"`
			Fail   asn1.BitString `asn1:"optional"`
		}
		Token asn1.RawValue `asn1:"optional"`
	}
	if len(der) > maxCMS || !whole(der, &reply) {
		return nil, errors.New("the time-stamp authority's answer is none of RFC 3161")
	}
	if reply.Status.Status > 1 { // 0 is granted, 1 granted with changes
		return nil, fmt.Errorf("the time-stamp authority refused (status %d%s)", reply.Status.Status, wordsOf(reply.Status.Words))
	}
	_, info, err := readToken(reply.Token.FullBytes, imprint)
	if err != nil {
		return nil, fmt.Errorf("the time-stamp authority's answer: %w", err)
	}
	if info.Nonce == nil || info.Nonce.Cmp(nonce) != 0 {
		return nil, errors.New("the time-stamp authority's answer is to another question: the nonce differs")
	}
	return reply.Token.FullBytes, nil
}

// wordsOf is what an authority says besides a status.
func wordsOf(raw asn1.RawValue) string {
	var words []string
	if !whole(raw.FullBytes, &words) {
		return ""
	}
	return ": " + strings.Join(words, ", ")
}
