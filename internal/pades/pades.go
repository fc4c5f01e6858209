// Package pades makes and checks the signature of a PDF in the form of PAdES B-B and B-T (ETSI EN 319 142-1): a detached CMS
// SignedData (RFC 5652) over the SHA-256 of the signed bytes, whose signed attributes are the content type, that digest and
// the digest of the signing certificate (signing-certificate-v2, RFC 5035). The time that the signer states stands in the PDF
// (its entry M), never in the CMS; a time-stamp of an authority (RFC 3161) may stand beside the signature as the attribute
// signature-time-stamp. The clauses and object identifiers here are from memory.
//
// It knows DER and no PDF, reads no clock and reaches no network: the digest comes in, and so does whoever stamps.
package pades

import (
	"crypto"
	"crypto/ecdsa"
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"errors"
	"fmt"
	"time"
)

// Identity is what a centre signs with: its certificate first, then whoever issued each before it, and the certificate's key.
type Identity struct {
	Chain []*x509.Certificate
	Key   crypto.Signer
}

// Certificate is the one that is signed with.
func (i Identity) Certificate() *x509.Certificate { return i.Chain[0] }

// Stamper gets a time-stamp token (RFC 3161) over a SHA-256.
type Stamper func(imprint [sha256.Size]byte) (token []byte, err error)

// minRSA is the least modulus of an RSA key in bits (BSI TR-02102 and NIST SP 800-57 agree that less is not enough; from memory).
const minRSA = 2048

// Check says what keeps an identity from signing at a time: nothing for nil.
func (i Identity) Check(at time.Time) error {
	if len(i.Chain) == 0 || i.Key == nil {
		return errors.New("there is no certificate, or no key, to sign with")
	}
	c := i.Certificate()
	switch key := c.PublicKey.(type) {
	case *rsa.PublicKey:
		if key.N.BitLen() < minRSA {
			return fmt.Errorf("the certificate's RSA key has %d bits; %d are the least", key.N.BitLen(), minRSA)
		}
	case *ecdsa.PublicKey:
	default:
		return fmt.Errorf("the certificate's key is a %T; RSA and ECDSA keys sign PDFs", c.PublicKey)
	}
	mine, ok := c.PublicKey.(interface{ Equal(crypto.PublicKey) bool })
	if !ok || !mine.Equal(i.Key.Public()) {
		return errors.New("the key is not the certificate's")
	}
	if c.KeyUsage != 0 && c.KeyUsage&(x509.KeyUsageDigitalSignature|x509.KeyUsageContentCommitment) == 0 {
		return errors.New("the certificate is not for signing: its key usage says neither digital signature nor non-repudiation")
	}
	if err := linked(i.Chain); err != nil {
		return err
	}
	return inForce(i.Chain, at)
}

// Sign signs the digest of a file's bytes as by at (the time that the file states) and gives the CMS in DER. Stamp, where it is
// not nil, is asked for a time-stamp over the signature; no signature comes back where it fails.
func Sign(digest [sha256.Size]byte, by Identity, at time.Time, stamp Stamper) ([]byte, error) {
	if err := by.Check(at); err != nil {
		return nil, fmt.Errorf("sign: %w", err)
	}
	attributes, err := signedAttributes(digest, by.Certificate())
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(attributes)
	signature, err := by.Key.Sign(rand.Reader, sum[:], crypto.SHA256)
	if err != nil {
		return nil, fmt.Errorf("sign: %w", err)
	}
	var unsigned []attribute
	if stamp != nil {
		token, err := stamp(sha256.Sum256(signature))
		if err != nil {
			return nil, fmt.Errorf("get a time-stamp: %w", err)
		}
		if unsigned, err = stamped(token, sha256.Sum256(signature)); err != nil {
			return nil, fmt.Errorf("get a time-stamp: %w", err)
		}
	}
	return wrap(by.Chain, attributes, signature, unsigned)
}

// signedAttributes is the DER of the set of attributes that is signed (RFC 5652, 5.4 and 11).
func signedAttributes(digest [sha256.Size]byte, c *x509.Certificate) ([]byte, error) {
	sum := sha256.Sum256(c.Raw)
	var set []attribute
	for _, a := range []struct {
		kind  asn1.ObjectIdentifier
		value any
	}{
		{oidContentType, oidData},
		{oidMessageDigest, digest[:]},
		// SHA-256 is the default digest, so it is not named (RFC 5035, 4).
		{oidSigningCertificateV2, signingCertificateV2{Certs: []essCertIDv2{{Hash: sum[:]}}}},
	} {
		encoded, err := newAttribute(a.kind, a.value)
		if err != nil {
			return nil, err
		}
		set = append(set, encoded)
	}
	der, err := asn1.MarshalWithParams(set, "set")
	if err != nil {
		return nil, fmt.Errorf("write the signed attributes: %w", err)
	}
	return der, nil
}

// wrap puts everything into a ContentInfo.
func wrap(chain []*x509.Certificate, attributes, signature []byte, unsigned []attribute) ([]byte, error) {
	c := chain[0]
	// The set was signed under its own tag; within the signer's info its tag is [0] (RFC 5652, 5.4).
	tagged := append([]byte{0xa0}, attributes[1:]...)
	info := signerInfo{
		Version: 1, Signer: issuerAndSerial{asn1.RawValue{FullBytes: c.RawIssuer}, c.SerialNumber},
		Digest: pkix.AlgorithmIdentifier{Algorithm: oidSHA256}, Signed: asn1.RawValue{FullBytes: tagged},
		Algorithm: algorithmOf(c), Signature: signature,
	}
	if len(unsigned) > 0 {
		der, err := asn1.MarshalWithParams(unsigned, "set,tag:1")
		if err != nil {
			return nil, fmt.Errorf("write the time-stamp: %w", err)
		}
		info.Unsigned = asn1.RawValue{FullBytes: der}
	}
	var certs []byte
	for _, c := range chain {
		certs = append(certs, c.Raw...)
	}
	der, err := asn1.Marshal(struct {
		Type    asn1.ObjectIdentifier
		Content signedData `asn1:"explicit,tag:0"`
	}{oidSignedData, signedData{
		Version: 1, Digests: []pkix.AlgorithmIdentifier{{Algorithm: oidSHA256}}, Content: encapsulated{Type: oidData},
		Certificates: asn1.RawValue{Class: asn1.ClassContextSpecific, Tag: 0, IsCompound: true, Bytes: certs},
		Signers:      []signerInfo{info},
	}})
	if err != nil {
		return nil, fmt.Errorf("write the signature: %w", err)
	}
	return der, nil
}

// algorithmOf is what a key signs a SHA-256 with.
func algorithmOf(c *x509.Certificate) pkix.AlgorithmIdentifier {
	if _, ok := c.PublicKey.(*rsa.PublicKey); ok {
		return pkix.AlgorithmIdentifier{Algorithm: oidRSA, Parameters: asn1.NullRawValue}
	}
	return pkix.AlgorithmIdentifier{Algorithm: oidECDSAWithSHA256}
}
