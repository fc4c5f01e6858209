package app

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// remarkRows is how many attempts a report lists at most; its counts are of all.
const remarkRows = 500

// RemarkReport is a correction with what it changes: who gains, who loses, on which line, and whether a decision rests on it.
type RemarkReport struct {
	store.Remark
	Counts []store.RemarkCount
	Lines  []store.RemarkLineCount
	Rows   []RemarkRow
	Hidden int  // rows that the caller may not see
	More   bool // there are more rows than are listed
	Coming int  // attempts that have not been marked yet
}

// RemarkRow is one attempt that comes out otherwise.
type RemarkRow struct {
	store.RemarkRow
	Lines []RemarkLine
}

// RemarkReport reads a correction and, as far as it has come, what it changes.
func (a *App) RemarkReport(ctx context.Context, c account.Caller, id uuid.UUID) (RemarkReport, error) {
	if err := account.May(c, account.RemarkBrief); err != nil {
		return RemarkReport{}, err
	}
	w, err := a.db.Remark(ctx, c.Centre, id)
	if err != nil {
		return RemarkReport{}, err
	}
	rows, err := a.db.RemarkReport(ctx, c.Centre, id, remarkRows+1)
	if err != nil {
		return RemarkReport{}, err
	}
	r := RemarkReport{Remark: w, Counts: rows.Counts, Lines: rows.Lines, Coming: rows.Coming, More: len(rows.Rows) > remarkRows}
	for _, row := range rows.Rows[:min(len(rows.Rows), remarkRows)] {
		if account.May(c, account.SeeAttempt, standings(c, store.Attempt{Trainee: row.Trainee, Tutors: row.Tutors})...) != nil {
			r.Hidden++
			continue
		}
		out := RemarkRow{RemarkRow: row}
		if err := json.Unmarshal(row.Lines, &out.Lines); err != nil {
			return RemarkReport{}, fmt.Errorf("read what differs: %w", err)
		}
		r.Rows = append(r.Rows, out)
	}
	return r, nil
}
