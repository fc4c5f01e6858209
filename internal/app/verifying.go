package app

import (
	"context"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/verify"
)

// VerifyLimit bounds a portfolio that somebody has checked here, in bytes (our own value: a hundred and fifty photos as they were
// uploaded). Larger ones are checked with witnessmark-verify.
const VerifyLimit = 512 << 20

// CheckTime is how long a portfolio may take to come that somebody has checked: the ways in end one that takes longer (our own value:
// half a gigabyte takes seven minutes over a slow line).
const CheckTime = 10 * time.Minute

// checksAtOnce is how many portfolios are checked at once (our own value: each may take its half gigabyte of the disk).
const checksAtOnce = 2

// What was found of a portfolio, for the ways in.
type (
	VerifiedLine = verify.Line
	VerifyWord   = verify.Word
	VerifyState  = verify.State
)

// The words and states, for the same.
const (
	VerifiedGenuine    = verify.Genuine
	VerifiedCentreTime = verify.GenuineCentreTime
	VerifiedAltered    = verify.Altered
	LineHolds          = verify.Holds
	LineBroken         = verify.Broken
	LineUnknown        = verify.Unknown
)

// Verified is what was found of a portfolio.
type Verified struct {
	Word    VerifyWord
	Why     string   // behind altered and cannot tell
	Subject []string // whose portfolio it is, in lines; none where that cannot be read
	Lines   []VerifiedLine
}

// Known is what somebody who has a portfolio checked knows from elsewhere than the file, as text; "" for none.
type Known struct {
	Keys        string // public keys of the log; without them those of the logs that are kept here count
	Witnesses   string // public keys of witnesses whose signatures count
	Later       string // a later state of the log that one of these signed, with the proof that it goes on from the portfolio's
	Authorities string // certificates (PEM) of time-stamp authorities whose stamps count
}

// VerifyPortfolio checks a portfolio that anybody brings, signed in or not, by what they know of it. The file lies on the disk while it
// is read, without a name, and nothing of it is kept.
func (a *App) VerifyPortfolio(ctx context.Context, r io.Reader, known Known) (v Verified, err error) {
	select { // whoever comes while as many are checked as there may be is asked to wait
	case a.checking <- struct{}{}:
		defer func() { <-a.checking }()
	default:
		return v, fault.Conflict("Other portfolios are being checked here at the moment. Wait a minute and send yours again, or check it on your own machine, with witnessmark-verify.")
	}
	trust, err := a.verifyTrust(ctx, known)
	if err != nil {
		return v, err
	}
	f, err := os.CreateTemp("", "witnessmark-verify-*")
	if err != nil {
		return v, fmt.Errorf("keep a portfolio while it is checked: %w", err)
	}
	if err := os.Remove(f.Name()); err != nil {
		return v, errors.Join(fmt.Errorf("keep a portfolio while it is checked: %w", err), f.Close())
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	size, err := io.Copy(f, io.LimitReader(r, VerifyLimit+1))
	switch {
	case errors.Is(err, os.ErrDeadlineExceeded):
		return v, fault.Invalid("file", "This file took too long to come, so it was not checked. Check it on your own machine, with witnessmark-verify.")
	case err != nil:
		return v, err
	case size > VerifyLimit:
		return v, fault.Invalid("file", "This file is larger than %d MB. Check it on your own machine, with witnessmark-verify.", VerifyLimit>>20)
	case size == 0:
		return v, fault.Invalid("file", "Choose the portfolio's file, a PDF.")
	}
	p := verify.File(f, size, verify.Options{Trust: trust})
	v.Word, v.Why = p.Verdict()
	v.Subject = p.Subject()
	v.Lines = append(p.Lines, VerifiedLine{What: "truth", State: verify.NotChecked, Words: verify.NoFileShows})
	return v, nil
}

// verifyTrust is what was given, and where that is no key, the keys of the logs that are kept here.
func (a *App) verifyTrust(ctx context.Context, known Known) (t verify.Trust, err error) {
	for _, key := range ledger.KeyTexts(known.Keys) {
		v, err := ledger.ParseKey(key)
		if err != nil {
			return t, fault.Invalid("key", "This is no public key of a log: one looks like NAME+HASH+KEY, and several have a space between them. Leave it empty to check by the keys of the centres here.")
		}
		t.Keys = append(t.Keys, v)
	}
	for _, key := range ledger.KeyTexts(known.Witnesses) {
		w, err := ledger.ParseWitness(key)
		if err != nil {
			return t, fault.Invalid("witness", "This is no public key of a witness: one looks like NAME+HASH+KEY, and several have a space between them.")
		}
		t.Witnesses = append(t.Witnesses, w)
	}
	if strings.TrimSpace(known.Later) != "" {
		r, err := ledger.ParseRequest(known.Later)
		if err != nil {
			return t, fault.Invalid("later", "This is no later state of a log: its first line says from how many entries it goes on, such as “old 18”.")
		}
		t.Later = append(t.Later, r)
	}
	if strings.TrimSpace(known.Authorities) != "" {
		if t.Authorities = x509.NewCertPool(); !t.Authorities.AppendCertsFromPEM([]byte(known.Authorities)) {
			return t, fault.Invalid("authority", "This holds no certificate. One in the form that is called PEM begins with “-----BEGIN CERTIFICATE-----”.")
		}
	}
	if len(t.Keys) == 0 {
		t.Held = true
		t.Keys, err = a.keysHeld(ctx)
	}
	return t, err
}

// keysHeld are the public keys of the logs that are kept here.
func (a *App) keysHeld(ctx context.Context) (held []note.Verifier, err error) {
	centres, err := a.db.Centres(ctx)
	if err != nil {
		return nil, err
	}
	for _, centre := range centres {
		keys, err := a.LogKeys(ctx, centre)
		if err != nil {
			return nil, err
		}
		for _, k := range keys {
			v, err := ledger.ParseKey(k.Text)
			if err != nil {
				return nil, fmt.Errorf("read the key %s of the log: %w", k.ID, err)
			}
			held = append(held, v)
		}
	}
	return held, nil
}
