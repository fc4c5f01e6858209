package app

import (
	"context"
	"crypto/sha256"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"witnessmark/internal/fault"
	"witnessmark/internal/pades"
	"witnessmark/internal/pdf"
)

// Stamper gets a time-stamp token (RFC 3161) over a SHA-256 from an authority.
type Stamper func(ctx context.Context, imprint [sha256.Size]byte) (token []byte, err error)

// WithStamps is the same application where an authority stamps the signatures of portfolios; nil says that none does.
func (a *App) WithStamps(s Stamper) *App {
	other := *a
	other.stamps = s
	return &other
}

// CertificateError says that a centre's certificate cannot sign. Its words are for people: trying again does not mend it.
type CertificateError struct {
	Code string // the centre's
	Why  error
}

func (e *CertificateError) Error() string {
	return fmt.Sprintf("The centre's signing certificate cannot be used: %v. Whoever runs the program puts another in place with witnessmark keys certificate --centre %s.", e.Why, e.Code)
}

// Unwrap is why.
func (e *CertificateError) Unwrap() error { return e.Why }

// signingIdentity is what a centre signs its portfolios with, made in the centre's name where it has brought nothing. It is a
// CertificateError where it cannot sign now.
func (a *App) signingIdentity(ctx context.Context, centre int64) (pades.Identity, error) {
	if a.keys == nil {
		return pades.Identity{}, errNoKeys
	}
	k, err := a.db.Centre(ctx, centre)
	if err != nil {
		return pades.Identity{}, err
	}
	id, err := a.keys.CertificateOrNew(centre, k.Name, a.now())
	if err != nil {
		return id, err
	}
	if err := id.Check(a.now()); err != nil {
		return id, &CertificateError{k.Code, err}
	}
	return id, nil
}

// signing is how a portfolio is signed while it is drawn: by the identity, stating the time of now, with a time-stamp where an
// authority is set.
func (a *App) signing(ctx context.Context, by pades.Identity, centreName string) *pdf.Signing {
	at := a.now().Truncate(time.Second) // as a PDF states it
	var stamp pades.Stamper
	if a.stamps != nil {
		stamp = func(imprint [sha256.Size]byte) ([]byte, error) { return a.stamps(ctx, imprint) }
	}
	return &pdf.Signing{
		Name: centreName, Reason: "Portfolio of evidence, as the centre keeps it", At: at,
		Sign: func(digest [sha256.Size]byte) ([]byte, error) { return pades.Sign(digest, by, at, stamp) },
	}
}

// Certificate is the one that a centre signs its portfolios with; NotFound where it has none yet.
func (a *App) Certificate(centre int64) (*x509.Certificate, error) {
	if a.keys == nil {
		return nil, errNoKeys
	}
	id, err := a.keys.Certificate(centre)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fault.NotFound("This centre has no signing certificate yet: one is made with its first portfolio.")
	}
	if err != nil {
		return nil, err
	}
	return id.Certificate(), nil
}

// NewCertificate makes a certificate in the centre's name in place of the one before.
func (a *App) NewCertificate(ctx context.Context, centre int64) (*x509.Certificate, error) {
	if a.keys == nil {
		return nil, errNoKeys
	}
	k, err := a.db.Centre(ctx, centre)
	if err != nil {
		return nil, err
	}
	id, err := a.keys.NewCertificate(centre, k.Name, a.now())
	if err != nil {
		return nil, err
	}
	return id.Certificate(), nil
}

// BringCertificate puts a certificate from elsewhere in place, with its key, both in PEM. What cannot sign now is refused.
func (a *App) BringCertificate(centre int64, certificates, key []byte) (*x509.Certificate, error) {
	if a.keys == nil {
		return nil, errNoKeys
	}
	id, err := a.keys.BringCertificate(centre, certificates, key, a.now())
	if err != nil {
		return nil, err
	}
	return id.Certificate(), nil
}

// CertificateStanding is how a centre's signing certificate stands.
type CertificateStanding struct {
	Code  string
	Until time.Time // it is in force; zero where there is none
	Wrong error     // why it cannot sign now
}

// CertificateStandings says how the certificate of every centre stands that has one.
func (a *App) CertificateStandings(ctx context.Context) ([]CertificateStanding, error) {
	centres, err := a.AllCentres(ctx)
	if err != nil || a.keys == nil {
		return nil, err
	}
	var out []CertificateStanding
	for _, c := range centres {
		id, err := a.keys.Certificate(c.ID)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		s := CertificateStanding{Code: c.Code, Wrong: err}
		if err == nil {
			s.Until, s.Wrong = id.Certificate().NotAfter, id.Check(a.now())
		}
		out = append(out, s)
	}
	return out, nil
}
