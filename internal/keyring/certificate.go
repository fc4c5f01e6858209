package keyring

import (
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"time"

	"witnessmark/internal/pades"
)

// signingFile holds what a centre signs its portfolios with, in PEM: the certificate, who issued it, and the key. It is one file
// so that a certificate never stands beside the key of another.
const signingFile = "signing.pem"

// ownValid is how long a certificate of the program's own making is in force, in years (our own value).
const ownValid = 10

const (
	pemCertificate = "CERTIFICATE"
	pemKey         = "PRIVATE KEY" // PKCS #8
)

// Certificate is what a centre signs its portfolios with; the error is fs.ErrNotExist where it has none.
func (r *Ring) Certificate(centre int64) (pades.Identity, error) {
	text, err := os.ReadFile(filepath.Join(r.centre(centre), signingFile))
	if err != nil {
		return pades.Identity{}, fmt.Errorf("read the signing certificate: %w", err)
	}
	id, err := parseIdentity(text)
	if err != nil {
		return id, fmt.Errorf("the file %s of the keys of centre %d: %w", signingFile, centre, err)
	}
	return id, nil
}

// CertificateOrNew is Certificate, made with NewCertificate where there is none yet.
func (r *Ring) CertificateOrNew(centre int64, name string, at time.Time) (pades.Identity, error) {
	r.making.Lock()
	defer r.making.Unlock()
	id, err := r.Certificate(centre)
	if errors.Is(err, fs.ErrNotExist) {
		return r.NewCertificate(centre, name, at)
	}
	return id, err
}

// NewCertificate makes a key and a certificate in the centre's name that nobody but the centre vouches for, in force from a time
// on, and keeps them in place of what was there.
func (r *Ring) NewCertificate(centre int64, name string, at time.Time) (pades.Identity, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return pades.Identity{}, fmt.Errorf("make a signing certificate: %w", err)
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 126))
	if err != nil {
		return pades.Identity{}, fmt.Errorf("make a signing certificate: %w", err)
	}
	at = at.UTC().Truncate(time.Second)
	// RFC 5280 allows 64 characters of a common name (appendix A).
	if runes := []rune(name); len(runes) > 64 {
		name = string(runes[:64])
	}
	form := &x509.Certificate{
		SerialNumber: serial.Add(serial, big.NewInt(1)), Subject: pkix.Name{CommonName: name},
		NotBefore: at, NotAfter: at.AddDate(ownValid, 0, 0),
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageContentCommitment, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, form, form, key.Public(), key)
	if err != nil {
		return pades.Identity{}, fmt.Errorf("make a signing certificate: %w", err)
	}
	c, err := x509.ParseCertificate(der)
	if err != nil {
		return pades.Identity{}, fmt.Errorf("make a signing certificate: %w", err)
	}
	id := pades.Identity{Chain: []*x509.Certificate{c}, Key: key}
	return id, r.keepIdentity(centre, id)
}

// BringCertificate keeps a certificate that the centre got elsewhere, with who issued it behind it, and its key, both in PEM, in
// place of what was there. What cannot sign at the time is refused.
func (r *Ring) BringCertificate(centre int64, certificates, key []byte, at time.Time) (pades.Identity, error) {
	id, err := parseIdentity(append(append(certificates[:len(certificates):len(certificates)], '\n'), key...))
	if err != nil {
		return id, err
	}
	if err := id.Check(at); err != nil {
		return id, err
	}
	return id, r.keepIdentity(centre, id)
}

func (r *Ring) keepIdentity(centre int64, id pades.Identity) error {
	var text []byte
	for _, c := range id.Chain {
		text = append(text, pem.EncodeToMemory(&pem.Block{Type: pemCertificate, Bytes: c.Raw})...)
	}
	der, err := x509.MarshalPKCS8PrivateKey(id.Key)
	if err != nil {
		return fmt.Errorf("keep the signing certificate: %w", err)
	}
	return r.write(centre, signingFile, string(append(text, pem.EncodeToMemory(&pem.Block{Type: pemKey, Bytes: der})...)))
}

// parseIdentity reads certificates and one key in PEM, as the usual programs write them.
func parseIdentity(text []byte) (id pades.Identity, err error) {
	for {
		var block *pem.Block
		if block, text = pem.Decode(text); block == nil {
			break
		}
		switch block.Type {
		case pemCertificate:
			c, err := x509.ParseCertificate(block.Bytes)
			if err != nil {
				return id, fmt.Errorf("read a certificate: %w", err)
			}
			id.Chain = append(id.Chain, c)
		case pemKey, "RSA PRIVATE KEY", "EC PRIVATE KEY":
			if id.Key != nil {
				return id, errors.New("there are two private keys, where one signs")
			}
			if id.Key, err = parseKey(block); err != nil {
				return id, err
			}
		case "ENCRYPTED PRIVATE KEY":
			return id, errors.New("the private key is locked with a password: write it without one first (openssl pkey -in KEY -out OPEN)")
		}
	}
	switch {
	case len(id.Chain) == 0:
		return id, errors.New("there is no certificate in PEM form; out of a .p12 or .pfx file openssl pkcs12 -in FILE -nodes writes it, and the key")
	case id.Key == nil:
		return id, errors.New("there is no private key in PEM form; out of a .p12 or .pfx file openssl pkcs12 -in FILE -nodes writes it")
	}
	return id, nil
}

func parseKey(block *pem.Block) (crypto.Signer, error) {
	if block.Headers["DEK-Info"] != "" {
		return nil, errors.New("the private key is locked with a password: write it without one first (openssl pkey -in KEY -out OPEN)")
	}
	var key any
	var err error
	switch block.Type {
	case "RSA PRIVATE KEY":
		key, err = x509.ParsePKCS1PrivateKey(block.Bytes)
	case "EC PRIVATE KEY":
		key, err = x509.ParseECPrivateKey(block.Bytes)
	default:
		key, err = x509.ParsePKCS8PrivateKey(block.Bytes)
	}
	if err != nil {
		return nil, fmt.Errorf("read the private key: %w", err)
	}
	signer, ok := key.(crypto.Signer)
	if !ok {
		return nil, fmt.Errorf("a %T cannot sign", key)
	}
	return signer, nil
}
