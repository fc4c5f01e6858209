package pades

import (
	"bytes"
	"crypto"
	_ "crypto/sha1" // the digest by which older time-stamp authorities name their certificate
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"errors"
	"fmt"
	"time"
)

// What a signature that does not hold is: bytes that were changed, or something that cannot be read or judged here.
var (
	ErrAltered    = errors.New("the signature does not hold")
	ErrUnreadable = errors.New("the signature cannot be read")
)

func altered(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrAltered, fmt.Sprintf(format, args...))
}

func unreadable(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrUnreadable, fmt.Sprintf(format, args...))
}

// maxCMS bounds what is read as a signature, in bytes; ours take a few thousand.
const maxCMS = 1 << 20

// Result is a signature that holds.
type Result struct {
	Certificate *x509.Certificate   // that signed
	Chain       []*x509.Certificate // it and whoever issued each before it, as far as the signature brings them
	Stamp       *Stamp              // nil without a time-stamp
}

// SelfSigned says that nobody but the signer vouches for the certificate.
func (r Result) SelfSigned() bool {
	return bytes.Equal(r.Certificate.RawIssuer, r.Certificate.RawSubject)
}

// ValidAt says whether the certificates were in force at a time; an error in words where one was not.
func (r Result) ValidAt(at time.Time) error { return inForce(r.Chain, at) }

// Verify holds a signature against the digest of the bytes that it is of. Zero bytes may follow the CMS, as they fill its place
// in a PDF; anything else that follows makes it unreadable. Whether the certificate is to be trusted is not asked here.
//
// The error is ErrAltered where digest, signature, certificate or time-stamp do not fit together, ErrUnreadable where this is no
// CMS of the kind that PAdES takes.
func Verify(cms []byte, digest [sha256.Size]byte) (Result, error) {
	s, err := open(cms)
	if err != nil {
		return Result{}, err
	}
	if !s.data.Content.Type.Equal(oidData) || s.data.Content.Content != nil {
		return Result{}, unreadable("it brings content of its own, where a PDF's is detached")
	}
	if !s.info.Digest.Algorithm.Equal(oidSHA256) {
		return Result{}, unreadable("its digest is not SHA-256")
	}
	if _, ok := s.signed.find(oidSigningCertificateV2); !ok {
		return Result{}, unreadable("it does not name its certificate (signing-certificate-v2), as PAdES asks")
	}
	if err := s.holds(digest[:]); err != nil {
		return Result{}, err
	}
	r := Result{Certificate: s.signer, Chain: chainOf(s.signer, s.certs)}
	if token, ok := s.unsigned.find(oidTimeStamp); ok {
		if r.Stamp, err = readStamp(token, sha256.Sum256(s.info.Signature)); err != nil {
			return Result{}, err
		}
	}
	return r, nil
}

// signed is a SignedData with one signer, taken apart.
type signed struct {
	data             signedData
	info             signerInfo
	certs            []*x509.Certificate
	signer           *x509.Certificate
	signed, unsigned attributes
}

type attributes []attribute

// find gives the one value of an attribute, in DER. One that stands twice, or has several values, is not found: it must be one.
func (as attributes) find(kind asn1.ObjectIdentifier) ([]byte, bool) {
	var found []byte
	n := 0
	for _, a := range as {
		if !a.Type.Equal(kind) {
			continue
		}
		var value asn1.RawValue
		if rest, err := asn1.Unmarshal(a.Values.Bytes, &value); err != nil || len(rest) > 0 {
			return nil, false
		}
		found, n = value.FullBytes, n+1
	}
	return found, n == 1
}

// open takes a CMS apart, without judging it.
func open(cms []byte) (s signed, err error) {
	if len(cms) > maxCMS {
		return s, unreadable("it is longer than %d bytes", maxCMS)
	}
	var outer contentInfo
	rest, err := asn1.Unmarshal(cms, &outer)
	if err != nil || len(bytes.Trim(rest, "\x00")) > 0 {
		return s, unreadable("it is no DER with nothing behind it")
	}
	if !outer.Type.Equal(oidSignedData) {
		return s, unreadable("it is no signed data (RFC 5652)")
	}
	if rest, err := asn1.Unmarshal(outer.Content.Bytes, &s.data); err != nil || len(rest) > 0 {
		return s, unreadable("its signed data is no DER of RFC 5652")
	}
	if len(s.data.Signers) != 1 {
		return s, unreadable("it has %d signers, where one signs a PDF", len(s.data.Signers))
	}
	s.info = s.data.Signers[0]
	if s.certs, err = x509.ParseCertificates(s.data.Certificates.Bytes); err != nil {
		return s, unreadable("a certificate in it cannot be read")
	}
	for _, c := range s.certs {
		if bytes.Equal(c.RawIssuer, s.info.Signer.Issuer.FullBytes) && c.SerialNumber.Cmp(s.info.Signer.Serial) == 0 {
			s.signer = c
		}
	}
	if s.signer == nil {
		return s, unreadable("the signer's certificate is not in it")
	}
	if s.signed, err = attributesOf(s.info.Signed); err != nil {
		return s, err
	}
	s.unsigned, err = attributesOf(s.info.Unsigned)
	return s, err
}

func attributesOf(raw asn1.RawValue) (attributes, error) {
	var as attributes
	for rest := raw.Bytes; len(rest) > 0; {
		var a attribute
		var err error
		if rest, err = asn1.Unmarshal(rest, &a); err != nil || a.Values.Tag != asn1.TagSet || a.Values.Class != asn1.ClassUniversal {
			return nil, unreadable("its attributes cannot be read")
		}
		as = append(as, a)
	}
	return as, nil
}

// holds says whether the signature is the certificate's, over the digest of the content.
func (s signed) holds(digest []byte) error {
	var stated []byte
	var kind asn1.ObjectIdentifier
	if der, ok := s.signed.find(oidMessageDigest); !ok || !whole(der, &stated) {
		return unreadable("it states no digest of what it signs")
	}
	if der, ok := s.signed.find(oidContentType); !ok || !whole(der, &kind) || !kind.Equal(s.data.Content.Type) {
		return unreadable("it does not state what it signs")
	}
	if !bytes.Equal(stated, digest) {
		return altered("the signed bytes have another digest than the one that was signed")
	}
	if err := s.namesSigner(); err != nil {
		return err
	}
	algorithm, err := signatureAlgorithm(s.info)
	if err != nil {
		return err
	}
	// What was signed is the set under its own tag (RFC 5652, 5.4).
	set := append([]byte{asn1.TagSet | 0x20}, s.info.Signed.FullBytes[1:]...)
	if err := s.signer.CheckSignature(algorithm, set, s.info.Signature); err != nil {
		return altered("it was not made with the certificate's key, or changed since")
	}
	return nil
}

// namesSigner holds the certificate against the digest of it that was signed, so that none can be put in its place.
func (s signed) namesSigner() error {
	if der, ok := s.signed.find(oidSigningCertificateV2); ok {
		var v2 signingCertificateV2
		if !whole(der, &v2) || len(v2.Certs) == 0 {
			return unreadable("its signing-certificate-v2 cannot be read")
		}
		hash := crypto.SHA256
		if len(v2.Certs[0].Algorithm.Algorithm) > 0 {
			if hash, ok = hashOf(v2.Certs[0].Algorithm); !ok {
				return unreadable("its certificate is named by a digest that is not known here")
			}
		}
		return s.named(hash, v2.Certs[0].Hash)
	}
	var v1 signingCertificate
	if der, ok := s.signed.find(oidSigningCertificate); !ok || !whole(der, &v1) || len(v1.Certs) == 0 {
		return unreadable("it does not name its certificate")
	}
	return s.named(crypto.SHA1, v1.Certs[0].Hash)
}

func (s signed) named(hash crypto.Hash, want []byte) error {
	h := hash.New()
	h.Write(s.signer.Raw)
	if !bytes.Equal(h.Sum(nil), want) {
		return altered("its certificate is not the one that was signed with")
	}
	return nil
}

// whole reads DER to its end.
func whole(der []byte, into any) bool {
	rest, err := asn1.Unmarshal(der, into)
	return err == nil && len(rest) == 0
}

func hashOf(a pkix.AlgorithmIdentifier) (crypto.Hash, bool) {
	for _, k := range []struct {
		oid  asn1.ObjectIdentifier
		hash crypto.Hash
	}{{oidSHA256, crypto.SHA256}, {oidSHA384, crypto.SHA384}, {oidSHA512, crypto.SHA512}} {
		if a.Algorithm.Equal(k.oid) {
			return k.hash, true
		}
	}
	return 0, false
}

// signatureAlgorithm is what a signer's info says, of the kinds that are taken. A plain RSA takes the digest's kind with it.
func signatureAlgorithm(i signerInfo) (x509.SignatureAlgorithm, error) {
	for _, k := range []struct {
		oid, digest asn1.ObjectIdentifier
		is          x509.SignatureAlgorithm
	}{
		{oidRSA, oidSHA256, x509.SHA256WithRSA}, {oidRSA, oidSHA384, x509.SHA384WithRSA}, {oidRSA, oidSHA512, x509.SHA512WithRSA},
		{oidRSAWithSHA256, oidSHA256, x509.SHA256WithRSA}, {oidRSAWithSHA384, oidSHA384, x509.SHA384WithRSA}, {oidRSAWithSHA512, oidSHA512, x509.SHA512WithRSA},
		{oidECDSAWithSHA256, oidSHA256, x509.ECDSAWithSHA256}, {oidECDSAWithSHA384, oidSHA384, x509.ECDSAWithSHA384}, {oidECDSAWithSHA512, oidSHA512, x509.ECDSAWithSHA512},
	} {
		if i.Algorithm.Algorithm.Equal(k.oid) && i.Digest.Algorithm.Equal(k.digest) {
			return k.is, nil
		}
	}
	return 0, unreadable("it is made in a way that is not known here (RSA or ECDSA with SHA-2 are)")
}
