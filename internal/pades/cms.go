package pades

import (
	"crypto/x509/pkix"
	"encoding/asn1"
	"fmt"
	"math/big"
)

// Object identifiers (RFC 5652, RFC 5035, RFC 3161, RFC 5754, RFC 8017, RFC 5758).
var (
	oidData                 = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 7, 1}
	oidSignedData           = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 7, 2}
	oidContentType          = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 3}
	oidMessageDigest        = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 4}
	oidSigningCertificate   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 12}
	oidSigningCertificateV2 = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 47}
	oidTimeStamp            = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 14} // signature-time-stamp
	oidTSTInfo              = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 1, 4}

	oidSHA256 = asn1.ObjectIdentifier{2, 16, 840, 1, 101, 3, 4, 2, 1}
	oidSHA384 = asn1.ObjectIdentifier{2, 16, 840, 1, 101, 3, 4, 2, 2}
	oidSHA512 = asn1.ObjectIdentifier{2, 16, 840, 1, 101, 3, 4, 2, 3}

	oidRSA             = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 1, 1}
	oidRSAWithSHA256   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 1, 11}
	oidRSAWithSHA384   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 1, 12}
	oidRSAWithSHA512   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 1, 13}
	oidECDSAWithSHA256 = asn1.ObjectIdentifier{1, 2, 840, 10045, 4, 3, 2}
	oidECDSAWithSHA384 = asn1.ObjectIdentifier{1, 2, 840, 10045, 4, 3, 3}
	oidECDSAWithSHA512 = asn1.ObjectIdentifier{1, 2, 840, 10045, 4, 3, 4}
)

// contentInfo is the outermost wrapping (RFC 5652, 3).
type contentInfo struct {
	Type    asn1.ObjectIdentifier
	Content asn1.RawValue `asn1:"explicit,tag:0"`
}

// signedData is RFC 5652, 5.1. Certificates is the whole [0], its content one certificate after the other; CRLs are passed over.
type signedData struct {
	Version      int
	Digests      []pkix.AlgorithmIdentifier `asn1:"set"`
	Content      encapsulated
	Certificates asn1.RawValue `asn1:"optional,tag:0"`
	CRLs         asn1.RawValue `asn1:"optional,tag:1"`
	Signers      []signerInfo  `asn1:"set"`
}

// encapsulated is the content itself; without one where the signature is detached.
type encapsulated struct {
	Type    asn1.ObjectIdentifier
	Content []byte `asn1:"explicit,optional,tag:0"`
}

// signerInfo is RFC 5652, 5.3. Signed and Unsigned are the whole [0] and [1].
type signerInfo struct {
	Version   int
	Signer    issuerAndSerial
	Digest    pkix.AlgorithmIdentifier
	Signed    asn1.RawValue `asn1:"optional,tag:0"`
	Algorithm pkix.AlgorithmIdentifier
	Signature []byte
	Unsigned  asn1.RawValue `asn1:"optional,tag:1"`
}

type issuerAndSerial struct {
	Issuer asn1.RawValue
	Serial *big.Int
}

type attribute struct {
	Type   asn1.ObjectIdentifier
	Values asn1.RawValue // a SET
}

func newAttribute(kind asn1.ObjectIdentifier, value any) (attribute, error) {
	der, err := asn1.Marshal(value)
	if err != nil {
		return attribute{}, fmt.Errorf("write an attribute of the signature: %w", err)
	}
	return attribute{kind, asn1.RawValue{Tag: asn1.TagSet, IsCompound: true, Bytes: der}}, nil
}

// signingCertificateV2 is RFC 5035, 3.
type signingCertificateV2 struct {
	Certs    []essCertIDv2
	Policies asn1.RawValue `asn1:"optional"`
}

// essCertIDv2 names a certificate by its digest, SHA-256 where no other is named.
type essCertIDv2 struct {
	Algorithm pkix.AlgorithmIdentifier `asn1:"optional"`
	Hash      []byte
	Issuer    asn1.RawValue `asn1:"optional"`
}

// signingCertificate is the same with SHA-1 (RFC 2634, 5.4), which time-stamp authorities still use.
type signingCertificate struct {
	Certs []struct {
		Hash   []byte
		Issuer asn1.RawValue `asn1:"optional"`
	}
	Policies asn1.RawValue `asn1:"optional"`
}
