// Package app has one method for each thing that a person can do.
//
// A method authorises the caller, loads, decides purely, then saves and records in one transaction. The JSON API and the
// HTML pages both call it and repeat nothing of it. What a caller may not see is NotFound; what they see but may not do
// is Forbidden; a page that has gone stale is a Conflict.
package app

import (
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/formula"
	"witnessmark/internal/heif"
	"witnessmark/internal/keyring"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
	"witnessmark/internal/trade"
)

// App does what people ask for. It is safe for use by many goroutines.
type App struct {
	db        *store.Store
	blobs     *blob.Folder
	now       func() time.Time
	hasher    *hasher
	functions map[string]formula.Function
	briefs    *briefCache
	greys     *kept[photo.Grey] // by the digest of the preview; some 30 KB each
	drawing   chan struct{}     // holds one while a photo's copies are made
	checking  chan struct{}     // holds one for each portfolio that anybody has checked
	heic      *heif.Decoder     // nil where HEIC cannot be drawn
	keys      *keyring.Ring     // nil where decision logs are not signed
	stamps    Stamper           // nil where no authority stamps portfolios
	letters   *letters          // nil where people are not written to
	watches   *watches
}

// New puts the application together on a database and a folder of evidence. Now is the clock; nil means the machine's.
func New(db *store.Store, blobs *blob.Folder, now func() time.Time) *App {
	if now == nil {
		now = time.Now
	}
	return &App{db: db, blobs: blobs, now: func() time.Time { return now().UTC() }, hasher: newHasher(hashing), functions: Functions(),
		briefs: newBriefCache(), greys: new(kept[photo.Grey]), drawing: make(chan struct{}, 1),
		checking: make(chan struct{}, checksAtOnce), watches: newWatches()}
}

// OnClock is the same application on another clock: the demonstration tells what happened over some weeks.
func (a *App) OnClock(now func() time.Time) *App {
	other := *a
	other.now = func() time.Time { return now().UTC() }
	return &other
}

// WithHEIC is the same application where HEIC can be drawn too; nil says that it cannot.
func (a *App) WithHEIC(d *heif.Decoder) *App {
	other := *a
	other.heic = d
	return &other
}

// Functions is the functions that the formulas of a brief may call, by name.
func Functions() map[string]formula.Function {
	functions := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		functions[f.Name] = f
	}
	return functions
}

// newID makes an id that sorts by time.
func newID() (uuid.UUID, error) {
	id, err := uuid.NewV7()
	if err != nil {
		return uuid.Nil, fmt.Errorf("make an id: %w", err)
	}
	return id, nil
}

// standings says how the caller stands to an attempt.
func standings(c account.Caller, at store.Attempt) []account.Standing {
	var st []account.Standing
	if at.Trainee == c.Person {
		st = append(st, account.Own)
	}
	if slices.Contains(at.Tutors, c.Person) {
		st = append(st, account.Teaches)
	}
	return st
}

// hide turns a Forbidden on seeing into NotFound: whoever may not see a thing does not learn that it is there.
func hide(err error, what string) error {
	if fault.KindOf(err) == fault.KindForbidden {
		return hidden(what)
	}
	return err
}

// hidden is NotFound for what the caller may not see.
func hidden(what string) error {
	return fault.NotFound("There is no such %s here. Go back and choose again.", what)
}
