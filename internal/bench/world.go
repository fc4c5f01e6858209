package main

import (
	"context"
	_ "embed"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// source is a brief with twelve lines to fill in and no photos.
//
//go:embed brief.yaml
var source string

// world is the centre that hands over.
type world struct {
	centre   int64
	attempts int             // open ones, with the numbers from 0
	entries  []marking.Entry // what every trainee puts down: the brief's model answer
	evidence string          // the folder of evidence, which stays empty
}

// fill makes the centre in the pristine database: people, sessions, a published brief set to one cohort, open attempts.
func fill(ctx context.Context, c *cluster, attempts int) (world, error) {
	w := world{attempts: attempts, evidence: filepath.Join(c.dir, "evidence")}
	if err := c.create(ctx, pristine, ""); err != nil {
		return w, err
	}
	err := c.as(ctx, pristine, func(conn *pgx.Conn) error { return store.Migrate(ctx, conn.Config().ConnString()) })
	if err != nil {
		return w, err
	}
	db, err := store.Open(ctx, c.pg.URL(store.Role, pristine))
	if err != nil {
		return w, err
	}
	defer db.Close()
	if err := db.Check(ctx); err != nil {
		return w, err
	}
	if w.entries, err = modelAnswer(); err != nil {
		return w, err
	}
	row, err := db.CreateCentre(ctx, "BENCH", "Centre for measuring", time.Now())
	if err != nil {
		return w, err
	}
	w.centre = row.ID
	task, err := w.setTask(ctx, db)
	if err != nil {
		return w, err
	}
	if err := w.signIn(ctx, db); err != nil {
		return w, err
	}
	return w, c.as(ctx, pristine, func(conn *pgx.Conn) error { return w.openAttempts(ctx, conn, task) })
}

// modelAnswer is the brief's model answer.
func modelAnswer() ([]marking.Entry, error) {
	b, err := brief.Read([]byte(source))
	if err != nil {
		return nil, fmt.Errorf("read the brief: %w", err)
	}
	compiled, problems := brief.Compile(b, app.Functions())
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("compile the brief: %w", err)
	}
	return marking.ModelSheet(compiled).Entries, nil
}

// setTask adds the people and sets the brief to them.
func (w world) setTask(ctx context.Context, db *store.Store) (uuid.UUID, error) {
	tutor := account.Caller{Centre: w.centre, Person: uuid.New(), Name: "Tutor", Roles: []account.Role{account.Tutor}}
	second := account.Caller{Centre: w.centre, Person: uuid.New(), Name: "Second", Roles: []account.Role{account.Tutor}}
	cohort := uuid.New()
	err := db.Write(ctx, w.centre, func(t *store.Tx) error { return w.addPeople(ctx, t, []account.Caller{tutor, second}, cohort) })
	if err != nil {
		return uuid.Nil, err
	}
	blobs, err := blob.OpenFolder(w.evidence)
	if err != nil {
		return uuid.Nil, err
	}
	a := app.New(db, blobs, nil)
	id, version, err := a.SaveBrief(ctx, tutor, source, "")
	if err != nil {
		return uuid.Nil, err
	}
	if err := a.AskForCheck(ctx, tutor, id, version, brief.Digest([]byte(source)), ""); err != nil {
		return uuid.Nil, err
	}
	if err := a.PublishBrief(ctx, second, id, version, brief.Digest([]byte(source))); err != nil {
		return uuid.Nil, err
	}
	return a.SetBrief(ctx, tutor, app.SetBrief{Brief: id, Version: version, Cohort: cohort})
}

// awards let a tutor's decisions stand by themselves.
var awards = []account.Registration{{Kind: account.AssessorAward, Number: "1", ValidFrom: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC), ValidTo: account.Endless()}}

func (w world) addPeople(ctx context.Context, t *store.Tx, tutors []account.Caller, cohort uuid.UUID) error {
	now := time.Now()
	unit := store.Unit{Code: "H2", Title: "Heat", Edition: "1", Outcomes: []store.Outcome{{Code: "1", Title: "Measure", Criteria: []store.Criterion{
		{Code: "1.1", Text: "Prepare the work."}, {Code: "1.2", Text: "Measure."}, {Code: "2.1", Text: "Work it out."},
	}}}}
	if err := t.SaveUnit(ctx, unit); err != nil {
		return err
	}
	if err := t.AddCohort(ctx, cohort, "Everybody", now); err != nil {
		return err
	}
	add := func(id uuid.UUID, name string, role account.Role, part store.Part) error {
		p := store.Person{Centre: w.centre, ID: id, Name: name, SignInName: name, Roles: []account.Role{role}, Registrations: awards, CreatedAt: now}
		if err := t.AddPerson(ctx, p); err != nil {
			return err
		}
		return t.AddMember(ctx, cohort, id, part)
	}
	for _, tutor := range tutors {
		if err := add(tutor.Person, strings.ToLower(tutor.Name), account.Tutor, store.PartTutor); err != nil {
			return err
		}
	}
	for i := range trainees {
		trainee, err := id(personID(firstTrainee + i))
		if err != nil {
			return err
		}
		if err := add(trainee, fmt.Sprintf("trainee-%d", i), account.Trainee, store.PartTrainee); err != nil {
			return err
		}
	}
	return nil
}

// signIn keeps a session for each trainee, as the session manager does.
func (w world) signIn(ctx context.Context, db *store.Store) error {
	codec := store.SessionCodec{}
	sessions := db.Sessions()
	until := time.Now().Add(12 * time.Hour)
	for i := firstTrainee; i < firstTrainee+trainees; i++ {
		data, err := codec.Encode(until, map[string]any{store.SessionCentre: w.centre, store.SessionPerson: personID(i)})
		if err != nil {
			return fmt.Errorf("write a session: %w", err)
		}
		if err := sessions.CommitCtx(ctx, token(i), data, until); err != nil {
			return err
		}
	}
	return nil
}

// done is how many attempts of earlier months lie in the database. Without them PostgreSQL would plan for empty tables, and
// read all of a table that has one page when it plans and a thousand when the leg ends.
const done = 8_000

// openAttempts adds the attempts, each like the one that its trainee was given with the task: first those of earlier months
// with what was typed, photographed and decided, then the open ones. Checking their keys one by one would take longer than
// a round, and the statements keep them by themselves.
func (w world) openAttempts(ctx context.Context, conn *pgx.Conn, task uuid.UUID) error {
	add := func(state string, from, count int) string {
		return fmt.Sprintf(`
			INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, revision, seed, given, opened_at)
			SELECT a.centre_id, ('01900000-0000-7000-8000-' || n)::uuid, a.task_id, a.trainee_id, 2 + (n - %[1]d) / %[2]d, '%[3]s', 2, a.seed, a.given, now()
			FROM generate_series(%[4]d::bigint, %[4]d::bigint + %[5]d - 1) AS n
			JOIN attempt a ON a.trainee_id = ('01900000-0000-7000-a000-00000000' || (%[6]d + n %% %[2]d))::uuid AND a.number = 1 AND a.task_id = '%[7]s'
			ORDER BY n`, firstNumber-done, trainees, state, from, count, firstTrainee, task)
	}
	// Numbers below the first have eleven digits: a nought makes up for it, in the ids here alone.
	past := strings.ReplaceAll(add("signed_off", firstNumber-done, done), "'01900000-0000-7000-8000-' || n", "'01900000-0000-7000-8000-0' || n")
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		past,
		`INSERT INTO entry (centre_id, entry_id, attempt_id, item, part, phase, text, unit, working, note, received_at, by_id)
			SELECT centre_id, gen_random_uuid(), attempt_id, 'qv', k::text, '', '12.4', 'L/min', '', '', now(), trainee_id
			FROM attempt, generate_series(1, 12) AS k WHERE state = 'signed_off' ORDER BY attempt_id, k`,
		`INSERT INTO evidence (centre_id, evidence_id, attempt_id, item, digest, size, media_type, width, height, orientation, name, caption, taken_zoned, received_at, by_id)
			SELECT centre_id, gen_random_uuid(), attempt_id, 'before', sha256(attempt_id::text::bytea), 350000, 'image/jpeg', 1600, 1200, 1, 'rig.jpg', '', false, now(), trainee_id
			FROM attempt, generate_series(1, 2) WHERE state = 'signed_off' ORDER BY attempt_id`,
		add("open", firstNumber, w.attempts),
		`VACUUM (ANALYZE)`,
	} {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return fmt.Errorf("open the attempts: %w", err)
		}
	}
	return nil
}

// handOver is the hand-over with the number, as the store takes it.
func (w world) handOver(n number) (store.HandOver, error) {
	attempt, err := id(n.attempt())
	if err != nil {
		return store.HandOver{}, err
	}
	trainee, err := id(personID(n.trainee()))
	if err != nil {
		return store.HandOver{}, err
	}
	now := time.Now().UTC()
	h := store.HandOver{Attempt: attempt, Trainee: trainee, At: now, Declaration: app.OwnWork}
	for k, e := range w.entries {
		entry, err := id(n.entry(k))
		if err != nil {
			return store.HandOver{}, err
		}
		h.Entries = append(h.Entries, store.Entry{
			ID: entry, Attempt: attempt, Entry: e, CapturedAt: now.Add(-time.Minute), ReceivedAt: now, By: trainee,
		})
	}
	h.Seal = decision.Seal{ID: attempt, Made: decision.Moment{At: now, Steady: true}, ReceivedAt: now}
	for _, e := range h.Entries {
		h.Seal.Items = append(h.Seal.Items, decision.Listed{ID: e.ID, Kind: decision.SealEntry, Digest: decision.EntryDigest(e.Entry)})
	}
	return h, nil
}
