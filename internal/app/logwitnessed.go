package app

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// WitnessedLog is WitnessedSince for somebody who may see the log.
func (a *App) WitnessedLog(ctx context.Context, c account.Caller, size int64, witness string) (ledger.Request, error) {
	if err := a.mayReadLog(ctx, c); err != nil {
		return ledger.Request{}, err
	}
	return a.WitnessedSince(ctx, c.Centre, size, witness)
}

// WitnessedSince gives the first state of a centre's log that the witness of that name (any, where it is "") signed along once the log
// had so many entries, with the proof that it goes on from there. A portfolio is made under a state that was signed a moment before,
// which nobody else can have seen: this is what shows, beside its file, that it was there when the witness looked. NotFound where
// nobody has signed since.
func (a *App) WitnessedSince(ctx context.Context, centre, size int64, witness string) (ledger.Request, error) {
	if size < 1 {
		return ledger.Request{}, fault.Invalid("size", "Say how many entries the log had when the portfolio was made: checking it tells the number.")
	}
	signed, err := a.db.WitnessedCheckpoint(ctx, centre, size, witness)
	if fault.KindOf(err) == fault.KindNotFound {
		return ledger.Request{}, fault.NotFound("No witness has signed the log since it had %d entries. Ask them to sign it as it is now, and come back.", size)
	}
	if err != nil {
		return ledger.Request{}, err
	}
	return a.goesOn(ctx, centre, size, signed)
}

// goesOn is a signed state with the proof that it goes on from the log's first so many entries.
func (a *App) goesOn(ctx context.Context, centre, size int64, signed store.LogCheckpoint) (ledger.Request, error) {
	hashes := a.db.LogHashes(ctx, centre)
	root, err := ledger.Root(size, hashes)
	if err != nil {
		return ledger.Request{}, err
	}
	proof, err := ledger.Continues(ledger.Checkpoint{Size: size, Root: root}, signed.Size, ledger.Hash(signed.Root), hashes)
	return ledger.Request{Old: size, Proof: proof, Checkpoint: signed.Note}, err
}
