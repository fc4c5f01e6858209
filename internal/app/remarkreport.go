package app

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// RemarkPage is how many attempts a page of a report lists (our own value); its counts are of all.
const RemarkPage = 200

// RemarkReport is a correction with what it changes: who gains, who loses, on which line, and whether a decision rests on it.
type RemarkReport struct {
	store.Remark
	Counts []store.RemarkCount
	Lines  []store.RemarkLineCount
	Rows   []RemarkRow // a page of those that the caller may see
	All    int         // of them, on every page
	Page   Page
	Hidden int // rows that the caller may not see
	Coming int // attempts that have not been marked yet
	Beyond int // attempts on which it would take effect that the caller may not see, so that they may not let it
}

// RemarkRow is one attempt that comes out otherwise.
type RemarkRow struct {
	store.RemarkRow
	Lines []RemarkLine
}

// RemarkReport reads a correction and, as far as it has come, what it changes. Page counts from 1; one after the last is empty.
func (a *App) RemarkReport(ctx context.Context, c account.Caller, id uuid.UUID, page int) (RemarkReport, error) {
	if err := account.May(c, account.RemarkBrief); err != nil {
		return RemarkReport{}, err
	}
	w, err := a.db.Remark(ctx, c.Centre, id)
	if err != nil {
		return RemarkReport{}, err
	}
	q := store.RemarkAsked{Remark: id, Viewer: seesWithin(c), Limit: RemarkPage}
	_, q.Offset = pageOf(page, RemarkPage, 0)
	rows, err := a.db.RemarkReport(ctx, c.Centre, q)
	if err != nil {
		return RemarkReport{}, err
	}
	r := RemarkReport{Remark: w, Counts: rows.Counts, Lines: rows.Lines, All: rows.Seen, Hidden: rows.Hidden, Coming: rows.Coming, Beyond: rows.Beyond}
	r.Page, _ = pageOf(page, RemarkPage, rows.Seen)
	for _, row := range rows.Rows {
		out := RemarkRow{RemarkRow: row}
		if err := json.Unmarshal(row.Lines, &out.Lines); err != nil {
			return RemarkReport{}, fmt.Errorf("read what differs: %w", err)
		}
		r.Rows = append(r.Rows, out)
	}
	return r, nil
}

// seesWithin is the caller where they see the work of their own cohorts alone, and nobody where they see everybody's.
func seesWithin(c account.Caller) uuid.UUID {
	if account.As(c, account.SeeAttempt) != "" {
		return uuid.Nil
	}
	return c.Person
}
