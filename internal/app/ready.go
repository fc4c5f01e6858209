package app

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// Unready is one thing that keeps the program from doing its work.
type Unready struct {
	Part  string // "database", "schema", "evidence", "queue" or "log key"
	Words string // for whoever watches over the program; nothing of a person or a path
	Err   error  // for the program's own log; may be nil
}

// queueStill is for how long no job may be begun while one waits, before the queue counts as standing still: signing the logs begins
// one each minute (our own value).
const queueStill = 5 * time.Minute

// Ready says what keeps the program from doing its work; nothing where it can.
func (a *App) Ready(ctx context.Context) []Unready {
	is, want, err := a.db.SchemaEdition(ctx)
	if err != nil {
		return append([]Unready{{"database", "it does not answer", err}}, a.unreadyFolder()...)
	}
	var out []Unready
	switch {
	case is < want:
		out = append(out, Unready{"schema", fmt.Sprintf("the database is older than the program: at migration %d, and %d is due. Run witnessmark migrate", is, want), nil})
	case is > want:
		out = append(out, Unready{"schema", fmt.Sprintf("the database is newer than the program: at migration %d, and %d is the last that is known. Run the newer program", is, want), nil})
	}
	out = append(out, a.unreadyFolder()...)
	out = append(out, a.unreadyQueue(ctx)...)
	if is == want { // else the keys' table may be another
		out = append(out, a.unreadyKeys(ctx)...)
	}
	return out
}

func (a *App) unreadyFolder() []Unready {
	if err := a.blobs.Probe(); err != nil {
		return []Unready{{"evidence", "the folder cannot be written", err}}
	}
	return nil
}

func (a *App) unreadyQueue(ctx context.Context) []Unready {
	now := a.now()
	still := now.Add(-queueStill)
	oldest, err := a.db.OldestJob(ctx, now)
	begun := now
	if err == nil && !oldest.IsZero() && oldest.Before(still) {
		begun, err = a.db.JobBegun(ctx)
	}
	switch {
	case err != nil:
		return []Unready{{"queue", "it cannot be asked", err}}
	case begun.Before(still):
		return []Unready{{"queue", fmt.Sprintf("a job has waited for %d minutes, and none was begun in the last %d", int(now.Sub(oldest).Minutes()), int(queueStill.Minutes())), nil}}
	}
	return nil
}

func (a *App) unreadyKeys(ctx context.Context) []Unready {
	if a.keys == nil {
		return nil
	}
	centres, err := a.db.Centres(ctx)
	if err != nil {
		return []Unready{{"database", "it does not answer", err}}
	}
	missing := 0
	for _, centre := range centres {
		st, e := a.db.LogState(ctx, centre)
		if e == nil && len(st.Keys) > 0 { // the first is made with the first signature
			_, _, e = a.logSigners(centre, st.Keys)
		}
		if e != nil {
			missing++
			err = errors.Join(err, e)
		}
	}
	if missing > 0 {
		return []Unready{{"log key", fmt.Sprintf("that of %d of %d centres cannot be read, so their logs are not signed", missing, len(centres)), err}}
	}
	return nil
}
