package app

import (
	"context"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// ReadLine reads what is being typed into a line of an attempt that the caller may see, and keeps nothing. It looks at the
// brief as it is written and at nothing that was put down, found or decided, so that it is quick and gives nothing away.
func (a *App) ReadLine(ctx context.Context, c account.Caller, id uuid.UUID, e marking.Entry) (marking.AsRead, error) {
	j, err := a.db.SheetHead(ctx, c.Centre, id)
	if err != nil {
		return marking.AsRead{}, err
	}
	if err := hide(account.May(c, account.SeeAttempt, standings(c, j.Attempt)...), "attempt"); err != nil {
		return marking.AsRead{}, err
	}
	b, err := a.briefs.brief(j.Brief.Digest, func() (string, error) {
		v, err := a.db.BriefVersion(ctx, c.Centre, j.Brief.Brief, j.Brief.Version)
		return v.Source, err
	})
	if err != nil {
		return marking.AsRead{}, err
	}
	return readLine(b, e)
}

// ReadTrialLine is ReadLine where a brief is being tried.
func (a *App) ReadTrialLine(ctx context.Context, c account.Caller, id uuid.UUID, version int, e marking.Entry) (marking.AsRead, error) {
	t, err := a.Brief(ctx, c, id, version)
	if err != nil {
		return marking.AsRead{}, err
	}
	return readLine(t.Brief, e)
}

func readLine(b *brief.Brief, e marking.Entry) (marking.AsRead, error) {
	it, _, ok := b.Item(e.Item)
	switch {
	case !ok:
		return marking.AsRead{}, fault.NotFound("The brief has no item %q.", e.Item)
	case utf8.RuneCountInString(e.Text) > textMost || len(e.Unit) > 64 || utf8.RuneCountInString(e.Working) > workingMost:
		return marking.AsRead{}, fault.Invalid("text", "That is too long to be read.")
	}
	return marking.ReadAs(it, e.Text, e.Unit, e.Working), nil
}
