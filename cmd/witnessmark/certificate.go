package main

import (
	"crypto/sha256"
	"crypto/x509"
	"errors"
	"fmt"
	"io"

	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

// keysCertificateCmd puts the certificate in place that a centre signs its portfolios with.
type keysCertificateCmd struct {
	ofCentre    `embed:""`
	New         bool   `help:"Make one in the centre's own name, for which nobody else vouches."`
	Certificate string `help:"One that the centre got elsewhere, in PEM, with those of its issuers behind it." placeholder:"FILE"`
	Key         string `help:"Its private key, in PEM without a password; where the certificate's file holds it too, none is named." placeholder:"FILE"`
}

// maxPEM bounds what is read as a certificate with its chain, or a key.
const maxPEM = 256 << 10

// Run makes or brings a certificate, and shows the one that is there where neither is asked for.
func (c *keysCertificateCmd) Run(w *world) error {
	if c.New && c.Certificate != "" || c.Key != "" && c.Certificate == "" {
		return errors.New("make a certificate with --new, or bring one with --certificate and --key")
	}
	return c.with(w, func(a *app.App, centre store.Centre) error {
		if c.New {
			return printCertificate(w.out, func() (*x509.Certificate, error) { return a.NewCertificate(w.ctx, centre.ID) })
		}
		if c.Certificate == "" {
			return printCertificate(w.out, func() (*x509.Certificate, error) { return a.Certificate(centre.ID) })
		}
		certificate, err := readAtMost(c.Certificate, maxPEM)
		if err != nil {
			return fmt.Errorf("read the certificate: %w", err)
		}
		var key []byte
		if c.Key != "" {
			if key, err = readAtMost(c.Key, maxPEM); err != nil {
				return fmt.Errorf("read the key: %w", err)
			}
		}
		return printCertificate(w.out, func() (*x509.Certificate, error) { return a.BringCertificate(centre.ID, certificate, key) })
	})
}

// printCertificate says what there is to know about a signing certificate.
func printCertificate(out io.Writer, of func() (*x509.Certificate, error)) error {
	c, err := of()
	if err != nil {
		return err
	}
	issuer := "itself alone"
	if c.Issuer.String() != c.Subject.String() {
		issuer = c.Issuer.String()
	}
	_, err = fmt.Fprintf(out, "signing certificate of %s, vouched for by %s, in force from %s to %s:\nSHA-256 %x\n",
		c.Subject, issuer, c.NotBefore.Format("2 January 2006"), c.NotAfter.Format("2 January 2006"), sha256.Sum256(c.Raw))
	return err
}
