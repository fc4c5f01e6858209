package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/app"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/store"
)

// remarking compares marking all stored attempts again, as the job does it, with moving the same rows out and in by COPY alone:
// what was typed and the results that hold go out, and as many results come in through a temporary table under the policy.
func remarking(ctx context.Context, c *cluster, stored int) rounds.Comparison {
	ready := sync.OnceValues(func() (*corrected, error) { return fillRemarked(ctx, c, stored) })
	return rounds.Comparison{
		Bar: rounds.Bar{Name: fmt.Sprintf("re-mark: %d stored attempts of 12 figures", stored), Unit: "seconds", Ours: "marked", Theirs: "moved", Kind: rounds.AtMost, Limit: 2},
		Measure: func(theirsFirst bool) (rounds.Round, error) {
			w, err := ready()
			if err != nil {
				return rounds.Round{}, err
			}
			legs := []func(context.Context) (float64, error){w.mark, w.move}
			if theirsFirst {
				legs[0], legs[1] = legs[1], legs[0]
			}
			var took [2]float64
			for i, leg := range legs {
				if took[i], err = leg(ctx); err != nil {
					return rounds.Round{}, err
				}
			}
			if theirsFirst {
				took[0], took[1] = took[1], took[0]
			}
			return rounds.Round{Ours: took[0], Theirs: took[1]}, nil
		},
	}
}

// empty makes both legs start with no new results, and nothing else to write to the disk.
func (w *corrected) empty(ctx context.Context) error {
	return w.as(ctx, remarked, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, `SET session_replication_role = replica; TRUNCATE remark_result; DELETE FROM remark; CHECKPOINT`)
		if err != nil {
			return fmt.Errorf("empty the results: %w", err)
		}
		return nil
	})
}

// mark is the job's work, run after run as the queue would have it.
func (w *corrected) mark(ctx context.Context) (float64, error) {
	id, err := w.begin(ctx)
	if err != nil {
		return 0, err
	}
	began := time.Now()
	for {
		if err := w.app.WorkRemark(ctx, w.tutor.Centre, id.ID); err != nil {
			return 0, err
		}
		r, err := w.db.RemarkHead(ctx, w.tutor.Centre, id.ID)
		if err != nil {
			return 0, err
		}
		if r.State == store.RemarkMarked {
			return time.Since(began).Seconds(), w.believeRemarked(ctx, r.ID.String())
		}
	}
}

func (w *corrected) begin(ctx context.Context) (store.Remark, error) {
	if err := w.empty(ctx); err != nil {
		return store.Remark{}, err
	}
	id, err := w.app.AskRemark(ctx, w.tutor, app.AskRemark{Brief: w.brief, From: 1, To: 2, Words: "The air's heat capacity was wrong."})
	if err != nil {
		return store.Remark{}, err
	}
	return w.db.Remark(ctx, w.tutor.Centre, id)
}

// move copies the same rows out to files and as many in, in one transaction, and looks at none of them.
func (w *corrected) move(ctx context.Context) (took float64, err error) {
	r, err := w.begin(ctx)
	if err != nil {
		return 0, err
	}
	conn, err := pgx.Connect(ctx, w.pg.URL(store.Role, remarked))
	if err != nil {
		return 0, fmt.Errorf("connect as the plain role: %w", err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	file, err := os.CreateTemp(w.dir, "moved")
	if err != nil {
		return 0, fmt.Errorf("make a file to move rows through: %w", err)
	}
	defer func() { err = errors.Join(err, file.Close(), os.Remove(file.Name())) }()
	began := time.Now()
	if err := w.pass(ctx, conn, file, r.ID.String()); err != nil {
		return 0, err
	}
	return time.Since(began).Seconds(), w.believeRemarked(ctx, r.ID.String())
}

// pass moves the rows as a person at PostgreSQL's own prompt would.
func (w *corrected) pass(ctx context.Context, conn *pgx.Conn, file *os.File, remark string) error {
	pg := conn.PgConn()
	for _, step := range []struct {
		what string
		do   func() error
	}{
		{"begin", func() error {
			_, err := conn.Exec(ctx, fmt.Sprintf(`BEGIN; SELECT set_config('app.centre_id', '%d', true)`, w.tutor.Centre))
			return err
		}},
		{"copy out what was typed", func() error {
			_, err := pg.CopyTo(ctx, io.Discard, `COPY (SELECT attempt_id, item, part, phase, text, unit, working, captured_at, received_at FROM entry) TO STDOUT (FORMAT binary)`)
			return err
		}},
		{"copy out the results", func() error {
			_, err := pg.CopyTo(ctx, file, `COPY (SELECT attempt_id, result FROM marking) TO STDOUT (FORMAT binary)`)
			return err
		}},
		{"copy them in", func() error {
			if _, err := file.Seek(0, io.SeekStart); err != nil {
				return err
			}
			if _, err := conn.Exec(ctx, `CREATE TEMPORARY TABLE moved (attempt_id uuid, result jsonb) ON COMMIT DROP`); err != nil {
				return err
			}
			_, err := pg.CopyFrom(ctx, file, `COPY moved FROM STDIN (FORMAT binary)`)
			return err
		}},
		{"add them under the policy", func() error {
			_, err := conn.Exec(ctx, `
				INSERT INTO remark_result (centre_id, remark_id, attempt_id, revision, at, shift, was_marks, now_marks, lines, rests, lacking, result)
				SELECT $1, $2, attempt_id, 3, now(), 'same', 0, 0, '[]', '{}', '', result FROM moved ON CONFLICT DO NOTHING`, w.tutor.Centre, remark)
			return err
		}},
		{"commit", func() error { _, err := conn.Exec(ctx, `COMMIT`); return err }},
	} {
		if err := step.do(); err != nil {
			return fmt.Errorf("%s: %w", step.what, err)
		}
	}
	return nil
}

// believeRemarked refuses a leg that the rows do not bear out.
func (w *corrected) believeRemarked(ctx context.Context, remark string) error {
	return w.as(ctx, remarked, func(conn *pgx.Conn) error {
		var n int
		err := conn.QueryRow(ctx, `SELECT count(*) FROM remark_result WHERE remark_id = $1 AND result IS NOT NULL`, remark).Scan(&n)
		if err == nil && n != w.stored {
			err = fmt.Errorf("%d results for %d attempts", n, w.stored)
		}
		return err
	})
}
