package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

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

// VerifyPortfolio checks a portfolio that anybody brings, signed in or not, by the public keys that they give, else by those of the
// logs that are kept here. The file lies on the disk while it is read, without a name, and nothing of it is kept.
func (a *App) VerifyPortfolio(ctx context.Context, r io.Reader, key string) (v Verified, err error) {
	select { // whoever comes while as many are checked as there may be is asked to wait
	case a.checking <- struct{}{}:
		defer func() { <-a.checking }()
	default:
		return v, fault.Conflict("Other portfolios are being checked here at the moment. Wait a minute and send yours again, or check it on your own machine, with witnessmark-verify.")
	}
	trust, err := a.verifyTrust(ctx, key)
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

// verifyTrust is the keys that were given, or those that are kept here.
func (a *App) verifyTrust(ctx context.Context, keys string) (verify.Trust, error) {
	if given := ledger.KeyTexts(keys); len(given) > 0 {
		var t verify.Trust
		for _, key := range given {
			v, err := ledger.ParseKey(key)
			if err != nil {
				return t, fault.Invalid("key", "This is no public key of a log: one looks like NAME+HASH+KEY, and several have a space between them. Leave it empty to check by the keys of the centres here.")
			}
			t.Keys = append(t.Keys, v)
		}
		return t, nil
	}
	centres, err := a.db.Centres(ctx)
	if err != nil {
		return verify.Trust{}, err
	}
	t := verify.Trust{Held: true}
	for _, centre := range centres {
		keys, err := a.LogKeys(ctx, centre)
		if err != nil {
			return t, err
		}
		for _, k := range keys {
			v, err := ledger.ParseKey(k.Text)
			if err != nil {
				return t, fmt.Errorf("read the key %s of the log: %w", k.ID, err)
			}
			t.Keys = append(t.Keys, v)
		}
	}
	return t, nil
}
