package main

import (
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// twelve is a brief of twelve figures over six readings. Version 1 has one of its formulas wrong, version 2 is this text.
//
//go:embed remark.yaml
var twelve string

const (
	remarked   = "remarked" // the database with the marked attempts
	sheetsMade = 1_000      // different sheets among them
)

// corrected is a centre with attempts that were marked under a version that has since been corrected.
type corrected struct {
	*cluster
	stored int // attempts in all
	db     *store.Store
	app    *app.App
	tutor  account.Caller
	second uuid.UUID // who checks briefs
	brief  uuid.UUID
}

// fillRemarked makes the database: a thousand different sheets, a fifth of whose figures is wrong, each a hundred times.
func fillRemarked(ctx context.Context, c *cluster, stored int) (*corrected, error) {
	w := &corrected{cluster: c, stored: stored, brief: uuid.New(), second: uuid.New()}
	if err := c.create(ctx, remarked, ""); err != nil {
		return nil, err
	}
	if err := c.as(ctx, remarked, func(conn *pgx.Conn) error { return store.Migrate(ctx, conn.Config().ConnString()) }); err != nil {
		return nil, err
	}
	var err error
	if w.db, err = store.Open(ctx, c.pg.URL(store.Role, remarked)); err != nil {
		return nil, err
	}
	blobs, err := blob.OpenFolder(filepath.Join(c.dir, "evidence-remarked"))
	if err != nil {
		return nil, err
	}
	w.app = app.New(w.db, blobs, nil)
	row, err := w.db.CreateCentre(ctx, "BENCH", "Centre for measuring", time.Now())
	if err != nil {
		return nil, err
	}
	w.tutor = account.Caller{Centre: row.ID, Person: uuid.New(), Name: "Tutor", Roles: []account.Role{account.Tutor}, Registrations: awards}
	err = w.db.Write(ctx, row.ID, func(t *store.Tx) error {
		for id, name := range map[uuid.UUID]string{w.tutor.Person: "tutor", w.second: "second"} {
			if err := t.AddPerson(ctx, store.Person{Centre: row.ID, ID: id, Name: name, SignInName: name, Roles: w.tutor.Roles, Registrations: awards, CreatedAt: time.Now()}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return w, c.as(ctx, remarked, func(conn *pgx.Conn) error { return w.fill(ctx, conn) })
}

// wrongVersion is version 1.
func wrongVersion() string { return strings.Replace(twelve, "0.34 Wh", "0.54 Wh", 1) }

// fill adds the rows past the policies and their triggers.
func (w *corrected) fill(ctx context.Context, conn *pgx.Conn) error {
	centre, person, cohort, task := w.tutor.Centre, w.tutor.Person, uuid.New(), uuid.New()
	steps := []struct {
		sql  string
		args []any
	}{
		{`SET session_replication_role = replica`, nil},
		{`INSERT INTO cohort (centre_id, cohort_id, name, created_at) VALUES ($1, $2, 'Everybody', now())`, []any{centre, cohort}},
		{`INSERT INTO brief (centre_id, brief_id, key, created_at) VALUES ($1, $2, 'bench-heating-job', now())`, []any{centre, w.brief}},
		{`INSERT INTO task (centre_id, task_id, brief_id, version, cohort_id, set_by, set_at) VALUES ($1, $2, $3, 1, $4, $5, now())`, []any{centre, task, w.brief, cohort, person}},
		{`CREATE TEMPORARY TABLE made (n int, given jsonb, result jsonb)`, nil},
		{`CREATE TEMPORARY TABLE written (n int, k int, item text, text text)`, nil},
	}
	for i, source := range []string{wrongVersion(), twelve} {
		steps = append(steps, struct {
			sql  string
			args []any
		}{`INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, state, written_by, written_at, published_by, published_at)
			VALUES ($1, $2, $3, $4, 'One heating job', $5, '{H2}', 'published', $6, now(), $7, now())`,
			[]any{centre, w.brief, i + 1, source, brief.Digest([]byte(source)), person, w.second}})
	}
	for _, s := range steps {
		if _, err := conn.Exec(ctx, s.sql, s.args...); err != nil {
			return fmt.Errorf("fill the centre with marked attempts: %w", err)
		}
	}
	if err := copyMade(ctx, conn); err != nil {
		return err
	}
	const id = `('01900000-0000-7000-8000-' || lpad((g * 1000 + n)::text, 12, '0'))::uuid`
	for _, sql := range []string{
		`INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, revision, seed, given, opened_at, handed_over_at)
			SELECT $1, ` + id + `, $2, $3, g * 1000 + n + 1, 'checked', 3, 1, given, now(), now() FROM made, generate_series(0, $4 / 1000 - 1) g ORDER BY 2`,
		`INSERT INTO entry (centre_id, entry_id, attempt_id, item, part, phase, text, unit, working, note, captured_at, received_at, by_id)
			SELECT $1, md5((g * 1000 + n)::text || '/' || k)::uuid, ` + id + `, item, '', '', text, '', '', '', now(), now(), $3
			FROM written, generate_series(0, $4 / 1000 - 1) g WHERE $2::uuid IS NOT NULL ORDER BY g, n, k`,
		`INSERT INTO seal (centre_id, attempt_id, seal_id, made_at, offset_ms, clock_steady, received_at)
			SELECT $1, ` + id + `, ` + id + `, now(), 0, true, now() FROM made, generate_series(0, $4 / 1000 - 1) g WHERE $2::uuid IS NOT NULL AND $3::uuid IS NOT NULL ORDER BY 2`,
		`INSERT INTO seal_item (centre_id, attempt_id, listed_id, kind, digest)
			SELECT $1, attempt_id, entry_id, 'entry', sha256(text::bytea) FROM entry WHERE $2::uuid IS NOT NULL AND $3::uuid IS NOT NULL AND $4::int > 0 ORDER BY 2`,
		`INSERT INTO marking (centre_id, marking_id, attempt_id, at, engine, brief_digest, result)
			SELECT $1, ` + id + `, ` + id + `, now(), result ->> 'engine', result ->> 'brief_digest', result
			FROM made, generate_series(0, $4 / 1000 - 1) g WHERE $2::uuid IS NOT NULL AND $3::uuid IS NOT NULL ORDER BY 2`,
	} {
		if _, err := conn.Exec(ctx, sql, centre, task, person, w.stored); err != nil {
			return fmt.Errorf("fill in marked attempts: %w", err)
		}
	}
	_, err := conn.Exec(ctx, `VACUUM (ANALYZE)`)
	return errors.Join(err, func() error { _, err := conn.Exec(ctx, `CHECKPOINT`); return err }())
}

// copyMade makes the sheets and what the marker said of them.
func copyMade(ctx context.Context, conn *pgx.Conn) error {
	was, now, err := bothVersions()
	if err != nil {
		return err
	}
	random := rand.New(rand.NewPCG(12, 6))
	var made, written [][]any
	for n := range sheetsMade {
		s := marking.Sheet{Given: map[string]string{"load": fmt.Sprintf("%.1f kW", 8+16*random.Float64())}}
		for _, in := range []struct {
			item     string
			from, to float64
		}{{"qv", 6, 20}, {"tf", 55, 80}, {"tr", 35, 50}, {"ti", 18, 22}, {"te", -5, 5}, {"Vs", 60, 220}} {
			s.Entries = append(s.Entries, marking.Entry{Item: in.item, Text: strconv.FormatFloat(in.from+(in.to-in.from)*random.Float64(), 'f', 1, 64)})
		}
		for _, f := range marking.Mark(now, s).Findings {
			if f.FromGiven == nil || f.Available == 0 && f.Tolerance == "" {
				continue
			}
			x := *f.FromGiven
			if random.Float64() < 0.2 {
				x *= 1.02 + random.Float64()
			}
			s.Entries = append(s.Entries, marking.Entry{Item: f.Item, Text: strconv.FormatFloat(x, 'g', 4, 64)})
		}
		result := marking.Mark(was, s)
		result.BriefDigest = brief.Digest([]byte(wrongVersion()))
		text, err := json.Marshal(result)
		if err != nil {
			return fmt.Errorf("write a result: %w", err)
		}
		made = append(made, []any{n, s.Given, text})
		for k, e := range s.Entries {
			written = append(written, []any{n, k, e.Item, e.Text})
		}
	}
	if len(written) != 18*sheetsMade {
		return fmt.Errorf("%d lines are written on %d sheets; want 18 on each", len(written), sheetsMade)
	}
	if _, err := conn.CopyFrom(ctx, pgx.Identifier{"made"}, []string{"n", "given", "result"}, pgx.CopyFromRows(made)); err != nil {
		return fmt.Errorf("copy sheets: %w", err)
	}
	if _, err := conn.CopyFrom(ctx, pgx.Identifier{"written"}, []string{"n", "k", "item", "text"}, pgx.CopyFromRows(written)); err != nil {
		return fmt.Errorf("copy lines: %w", err)
	}
	return nil
}

func bothVersions() (was, now *brief.Compiled, err error) {
	var out [2]*brief.Compiled
	for i, source := range []string{wrongVersion(), twelve} {
		b, err := brief.Read([]byte(source))
		if err != nil {
			return nil, nil, fmt.Errorf("read the brief of twelve figures: %w", err)
		}
		c, problems := brief.Compile(b, app.Functions())
		if err := problems.Err(); err != nil {
			return nil, nil, fmt.Errorf("compile the brief of twelve figures: %w", err)
		}
		out[i] = c
	}
	return out[0], out[1], nil
}
