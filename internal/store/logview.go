package store

import (
	"context"
	"time"
)

// LogRow is an entry of the log as a list shows it.
type LogRow struct {
	Index  int64 `db:"idx"`
	Kind   string
	At     time.Time `db:"created_at"`
	ByName string    // who decided, "" where the entry is of no record
	Role   string    // likewise
}

// LogWitness is the newest signature of somebody who signs the log along.
type LogWitness struct {
	Name string
	Key  string    `db:"vkey"`
	Size int64     // entries when they signed
	At   time.Time // kept here
}

// logWitnessesMost is how many witnesses are listed.
const logWitnessesMost = 50

// LogView is where a log stands, with a page of its entries.
type LogView struct {
	LogState
	Witnesses []LogWitness // by name, at most fifty
	Rows      []LogRow     // below the number that was asked for, the newest first
}

// LogView reads where the log stands, and the entries below a number, at most limit.
func (s *Store) LogView(ctx context.Context, centre, below int64, limit int) (LogView, error) {
	r := s.reading(ctx, centre)
	var v LogView
	state := queueLogState(r, centre)
	queue(r, &v.Witnesses, `
		SELECT w.name, w.vkey, w.size, w.at FROM (SELECT DISTINCT ON (g.name) g.name, g.vkey, g.size, g.at FROM log_cosignature g ORDER BY g.name, g.size DESC) w
		ORDER BY w.name LIMIT @most`, args{"most": logWitnessesMost})
	queue(r, &v.Rows, `
		SELECT e.idx, e.kind, e.created_at, coalesce(x.by_name, '') AS by_name, coalesce(x.role, '') AS role
		FROM log_entry e
		LEFT JOIN record x ON x.centre_id = e.centre_id AND x.record_id = e.record_id
		WHERE e.centre_id = @centre AND e.idx < @below ORDER BY e.idx DESC LIMIT @limit`, args{"centre": centre, "below": below, "limit": limit})
	err := r.send("the log")
	v.LogState = state()
	return v, err
}
