package pades

import (
	"bytes"
	"crypto/x509"
	"fmt"
	"time"
)

// maxChain bounds how many certificates follow one another.
const maxChain = 10

// chainOf is a certificate and, one after the other, who issued it, as far as they are here and their signatures hold.
func chainOf(c *x509.Certificate, certs []*x509.Certificate) []*x509.Certificate {
	chain := []*x509.Certificate{c}
	for len(chain) < maxChain && !bytes.Equal(c.RawIssuer, c.RawSubject) {
		var issuer *x509.Certificate
		for _, k := range certs {
			if issued(k, c) == nil {
				issuer = k
				break
			}
		}
		if issuer == nil {
			break
		}
		chain, c = append(chain, issuer), issuer
	}
	return chain
}

// issued says why a certificate was not issued by another; nil where it was.
func issued(by, c *x509.Certificate) error {
	if !bytes.Equal(by.RawSubject, c.RawIssuer) {
		return fmt.Errorf("“%s” was not issued by “%s”", c.Subject, by.Subject)
	}
	return c.CheckSignatureFrom(by)
}

// linked says whether each certificate was issued by the next.
func linked(chain []*x509.Certificate) error {
	if len(chain) > maxChain {
		return fmt.Errorf("%d certificates follow one another; %d are the most", len(chain), maxChain)
	}
	for i := 1; i < len(chain); i++ {
		if err := issued(chain[i], chain[i-1]); err != nil {
			return fmt.Errorf("the certificates do not follow one another: %w", err)
		}
	}
	return nil
}

const day = "2 January 2006"

func inForce(chain []*x509.Certificate, at time.Time) error {
	for _, c := range chain {
		if at.Before(c.NotBefore) || at.After(c.NotAfter) {
			return fmt.Errorf("the certificate of %s is in force from %s to %s, not on %s",
				c.Subject.CommonName, c.NotBefore.Format(day), c.NotAfter.Format(day), at.Format(day))
		}
	}
	return nil
}
