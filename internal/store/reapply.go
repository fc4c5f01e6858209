package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Erasure is one thing that was erased: it is noted outside the database too, so that a backup from before does not bring it back.
type Erasure struct {
	Centre   int64     `json:"centre"`
	Item     uuid.UUID `json:"item"` // the attempt's id, or the person's
	Person   uuid.UUID `json:"person"`
	Attempt  uuid.UUID `json:"attempt,omitzero"` // zero for a person's details
	Purge    uuid.UUID `json:"purge"`
	Rule     string    `json:"rule"`
	Approved uuid.UUID `json:"approved_by"`
	At       time.Time `json:"at"`
}

// ReadErasures reads the list of what was erased, a line each, and counts the lines that say nothing: a crash cut them off before
// anything was erased.
func ReadErasures(lines [][]byte) (list []Erasure, torn int) {
	for _, l := range lines {
		var e Erasure
		if err := json.Unmarshal(l, &e); err != nil || e.Item == uuid.Nil {
			torn++
			continue
		}
		list = append(list, e)
	}
	return list, torn
}

// ReapplyErasures erases again, in a database that was restored from a backup, what had been erased after that was made. url is
// of the owner of the tables. It says how many there were; what the database does not have, or has erased, is passed over.
// The bytes behind them are named (hex) by centre: those that no evidence needs any more are the caller's to take away.
func ReapplyErasures(ctx context.Context, url string, erasures []Erasure) (n int, digests map[int64][]string, err error) {
	digests = map[int64][]string{}
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return 0, nil, fmt.Errorf("connect to erase again: %w", err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	for _, e := range erasures {
		var again bool
		err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
			var ds []string
			if again, ds, err = reapply(ctx, tx, e); err == nil {
				digests[e.Centre] = append(digests[e.Centre], ds...)
			}
			return err
		})
		if err != nil {
			return n, digests, fmt.Errorf("erase %s again: %w", e.Item, err)
		}
		if again {
			n++
		}
	}
	return n, digests, nil
}

// reapply erases one thing again where it is there and not erased.
func reapply(ctx context.Context, tx pgx.Tx, e Erasure) (again bool, digests []string, err error) {
	if _, err := tx.Exec(ctx, setCentre, strconv.FormatInt(e.Centre, 10)); err != nil {
		return false, nil, err
	}
	const there = `SELECT NOT EXISTS (SELECT FROM erasure x WHERE x.centre_id = $1 AND x.item_id = $2)
		AND (EXISTS (SELECT FROM attempt a WHERE a.centre_id = $1 AND a.attempt_id = $2) OR EXISTS (SELECT FROM person p WHERE p.centre_id = $1 AND p.person_id = $2))`
	if err := tx.QueryRow(ctx, there, e.Centre, e.Item).Scan(&again); err != nil || !again {
		return false, nil, err
	}
	rows, err := tx.Query(ctx, digestsBehind, args{"centre": e.Centre, "person": e.Person, "attempt": e.Attempt})
	if err != nil {
		return false, nil, err
	}
	if digests, err = pgx.CollectRows(rows, pgx.RowTo[string]); err != nil {
		return false, nil, err
	}
	erase := `SELECT erase_attempt_now($1)`
	if e.Attempt == uuid.Nil {
		erase = `SELECT erase_person_now($1)`
	} else if _, err := tx.Exec(ctx, `UPDATE attempt SET state = 'destroyed' WHERE centre_id = $1 AND attempt_id = $2`, e.Centre, e.Attempt); err != nil {
		return false, nil, err
	}
	if _, err := tx.Exec(ctx, erase, e.Item); err != nil {
		return false, nil, err
	}
	if _, err := tx.Exec(ctx, `DELETE FROM log_secret WHERE centre_id = $1 AND idx IN (SELECT l.idx FROM log_entry l WHERE l.centre_id = $1 AND l.subject_id = $2)`, e.Centre, e.Item); err != nil {
		return false, nil, err
	}
	if _, err := tx.Exec(ctx, forgetStatementsSQL, args{"item": e.Item}); err != nil {
		return false, nil, err
	}
	_, err = tx.Exec(ctx, `INSERT INTO erasure (centre_id, item_id, person_id, attempt_id, purge_id, rule, approved_by, at, again) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, true)`,
		e.Centre, e.Item, e.Person, uuidOrNull(e.Attempt), e.Purge, e.Rule, e.Approved, e.At)
	return true, digests, err
}
