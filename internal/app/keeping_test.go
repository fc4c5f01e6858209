package app_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// canaries are words of the trainee's own that must be nowhere once they are erased. "Person tom" is their name.
var canaries = []string{"The pump was dead", "Person tom", "Covers on, tested dead"}

// everything is all that stands in the database, as text.
func (c *centre) everything(t *testing.T) string {
	t.Helper()
	db, err := pgx.Connect(t.Context(), c.super)
	must(t, err)
	defer db.Close(t.Context())
	rows, err := db.Query(t.Context(), `SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename NOT IN ('session', 'brief_version') ORDER BY 1`)
	must(t, err)
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	must(t, err)
	var all strings.Builder
	for _, n := range names {
		var text string
		must(t, db.QueryRow(t.Context(), `SELECT coalesce(string_agg(x::text, E'\n'), '') FROM `+n+` x`).Scan(&text))
		all.WriteString(n + "\n" + text + "\n")
		if column, ok := map[string]string{"record": "canonical", "log_secret": "value"}[n]; ok { // bytes are shown in hex: words would hide there
			var raw []byte
			must(t, db.QueryRow(t.Context(), `SELECT coalesce(string_agg(x.`+column+`, ''), '') FROM `+n+` x`).Scan(&raw))
			all.Write(raw)
		}
	}
	return all.String()
}

// purged proposes, waits and approves, and does the job; it gives the purge.
func (c *centre) purged(t *testing.T, assurer account.Caller) uuid.UUID {
	t.Helper()
	ctx := t.Context()
	id, err := c.ProposePurge(ctx, c.manager)
	must(t, err)
	c.now = c.now.AddDate(0, 0, 14)
	must(t, c.ApprovePurge(ctx, assurer, id))
	must(t, c.WorkPurge(ctx, c.id, id))
	return id
}

func TestRetentionOnAnAdvancedClock(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	assurer := c.person(t, "anna", account.QualityAssurer)
	digest := c.seenBy(t, c.manager, attempt).Stages[0].Items[0].Files[0].Digest
	for _, w := range canaries {
		if !strings.Contains(c.everything(t), w) {
			t.Fatalf("%q is nowhere to begin with", w)
		}
	}
	_, err := c.ProposePurge(ctx, c.manager)
	wantKind(t, "before its time", err, fault.KindConflict)

	// The newest attempt was only planned: it is withdrawn, else what is carried over might still be needed.
	c.now = c.now.AddDate(0, 37, 0)
	_, err = c.ProposePurge(ctx, c.manager)
	wantKind(t, "while the next attempt is open", err, fault.KindConflict)
	c.withdraw(t, c.newest(t).ID)

	// A longer rule for one of its units wins.
	must(t, c.SetRetention(ctx, c.manager, store.RetentionRule{Unit: "H2", Kind: store.KeepDecisions, Months: 60, Words: "The awarding organisation's letter."}))
	_, err = c.ProposePurge(ctx, c.manager)
	wantKind(t, "before the longest rule's time", err, fault.KindConflict)
	c.now = c.now.AddDate(0, 24, 0)

	// So does a hold, of the person or of the one attempt.
	must(t, c.PlaceHold(ctx, c.manager, store.LegalHold{Person: c.trainee.Person, Attempt: attempt, Words: "A claim is under way."}))
	_, err = c.ProposePurge(ctx, c.manager)
	wantKind(t, "while it is held", err, fault.KindConflict)
	k, err := c.Keeping(ctx, c.manager)
	must(t, err)
	must(t, c.LiftHold(ctx, c.manager, k.Holds[0].ID, "It was settled."))

	// And an open inquiry, into the trainee or into whoever judged it.
	for _, concerns := range []uuid.UUID{c.trainee.Person, c.tutor.Person} {
		file, err := c.OpenInquiry(ctx, c.manager, concerns, "Two sheets alike.")
		must(t, err)
		_, err = c.ProposePurge(ctx, c.manager)
		wantKind(t, "while an inquiry is open", err, fault.KindConflict)
		must(t, c.CloseInquiry(ctx, c.manager, file, store.NothingFound, "They had said so."))
	}

	id, err := c.ProposePurge(ctx, c.manager)
	must(t, err)
	c.now = c.now.AddDate(0, 0, 13)
	wantKind(t, "a day early", c.ApprovePurge(ctx, assurer, id), fault.KindConflict)
	c.now = c.now.AddDate(0, 0, 1)
	wantKind(t, "by who proposed it", c.ApprovePurge(ctx, c.manager, id), fault.KindForbidden)
	must(t, c.WorkPurge(ctx, c.id, id)) // the job of something that nobody approved does nothing
	if !strings.Contains(c.everything(t), canaries[0]) {
		t.Fatal("erased without anybody's approval")
	}
	must(t, c.ApprovePurge(ctx, assurer, id))
	must(t, c.WorkPurge(ctx, c.id, id))
	must(t, c.WorkPurge(ctx, c.id, id)) // twice has the same effect
	c.erased(t, attempt, digest, canaries[0], canaries[2])

	// Their details go once nothing else is left of them, and after their own time.
	_, err = c.ProposePurge(ctx, c.manager)
	wantKind(t, "details before their time", err, fault.KindConflict)
	c.now = c.now.AddDate(0, 37, 0)
	c.purged(t, assurer)
	c.erased(t, attempt, digest, canaries...)
	c.reapplies(t, attempt)
}

// A hold that is placed once an attempt is destroyed keeps its words from being erased, and from the list of what was, until it is
// lifted: then its time is up at once.
func TestHeldOnceDestroyed(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	assurer := c.person(t, "anna", account.QualityAssurer)
	digest := c.seenBy(t, c.manager, attempt).Stages[0].Items[0].Files[0].Digest
	id := c.proposed(t)
	c.now = c.now.AddDate(0, 0, 14)
	must(t, c.ApprovePurge(ctx, assurer, id))
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error { // as far as the job came when somebody placed the hold
		at, err := tx.LockAttempt(ctx, attempt)
		if err != nil {
			return err
		}
		at.State = decision.Destroyed
		_, err = tx.SaveAttempt(ctx, at)
		return errors.Join(err, tx.AppendRecord(ctx, decision.Record{ID: uuid.New(), Centre: c.id, Attempt: attempt, Kind: decision.KindDestroy,
			By: assurer.Person, ByName: "Person anna", At: c.now}))
	}))
	must(t, c.PlaceHold(ctx, c.manager, store.LegalHold{Person: c.trainee.Person, Attempt: attempt, Words: "A claim is under way."}))
	must(t, c.WorkPurge(ctx, c.id, id))
	noted := c.noted(t)
	if len(noted) != 0 || !strings.Contains(c.everything(t), canaries[0]) { // nor is the next attempt, as when it is proposed
		t.Fatalf("noted as erased while one attempt of the task is held: %+v", noted)
	}
	k, err := c.Keeping(ctx, c.manager)
	must(t, err)
	must(t, c.LiftHold(ctx, c.manager, k.Holds[0].ID, "It was settled."))
	c.purged(t, assurer)
	c.erased(t, attempt, digest, canaries[0], canaries[2])
}

// The rules are asked again once the waiting time is over: what has to be kept longer by then, or is under an inquiry, stays.
func TestAskedAgainBeforeItIsErased(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	assurer := c.person(t, "anna", account.QualityAssurer)
	id := c.proposed(t)
	c.now = c.now.AddDate(0, 0, 14)
	must(t, c.ApprovePurge(ctx, assurer, id))
	must(t, c.SetRetention(ctx, c.manager, store.RetentionRule{Unit: "H2", Kind: store.KeepDecisions, Months: 60, Words: "The awarding organisation's letter."}))
	must(t, c.WorkPurge(ctx, c.id, id))
	if s := c.seenBy(t, c.manager, attempt); s.State != decision.MoreToDo || len(c.noted(t)) != 0 {
		t.Errorf("a longer rule came meanwhile, and it is %s", s.State)
	}
	c.now = c.now.AddDate(0, 24, 0)
	id, err := c.ProposePurge(ctx, c.manager)
	must(t, err)
	c.now = c.now.AddDate(0, 0, 14)
	must(t, c.ApprovePurge(ctx, assurer, id))
	_, err = c.OpenInquiry(ctx, c.manager, c.trainee.Person, "Two sheets alike.")
	must(t, err)
	must(t, c.WorkPurge(ctx, c.id, id))
	if s := c.seenBy(t, c.manager, attempt); s.State != decision.MoreToDo || len(c.noted(t)) != 0 {
		t.Errorf("an inquiry was opened meanwhile, and it is %s", s.State)
	}
}

// noted is the list of what was erased that is kept beside the evidence.
func (c *centre) noted(t *testing.T) []store.Erasure {
	t.Helper()
	folder, err := blob.OpenFolder(c.dir)
	must(t, err)
	lines, err := folder.Erasures()
	must(t, err)
	list, torn := store.ReadErasures(lines)
	if torn != 0 {
		t.Errorf("%d lines of what was erased are torn", torn)
	}
	return list
}

// erased fails where something of what was to go is still there, or the decision log is no longer whole.
func (c *centre) erased(t *testing.T, attempt uuid.UUID, digest string, words ...string) {
	t.Helper()
	all := c.everything(t)
	for _, w := range append(words, digest) {
		if i := strings.Index(all, w); i >= 0 {
			t.Errorf("%q is still there: …%s…", w, all[max(0, i-200):min(len(all), i+60)])
		}
	}
	c.forgetting(t)
	if c.holds(t, digest) {
		t.Error("the photo's bytes are still there")
	}
	s, err := c.Sheet(t.Context(), c.manager, attempt)
	must(t, err)
	if s.State != decision.Destroyed || len(s.Records) == 0 {
		t.Errorf("the attempt is %s with %d records; its rows are to stay", s.State, len(s.Records))
	}
	audit, err := c.AuditLog(t.Context(), c.id, nil)
	must(t, err)
	for _, p := range audit.Problems {
		if !strings.Contains(p, "signed") { // nothing signs here
			t.Errorf("the log after erasing: %s", p)
		}
	}
	if audit.Erased == 0 {
		t.Error("no commitment of the log is erased")
	}
}

// reapplies puts the words back, as a restored backup would have them, and erases them again from the list beside the evidence.
func (c *centre) reapplies(t *testing.T, attempt uuid.UUID) {
	t.Helper()
	ctx := t.Context()
	db, err := pgx.Connect(ctx, c.super)
	must(t, err)
	defer db.Close(ctx)
	for _, sql := range []string{
		`SET session_replication_role = replica`, // the triggers do not hold whoever restores
		`DELETE FROM erasure`, `UPDATE entry SET text = 'The pump was dead'`, `UPDATE person SET name = 'Person tom' WHERE name = 'Erased person'`, `UPDATE attempt SET state = 'more_to_do'`,
	} {
		_, err := db.Exec(ctx, sql)
		must(t, err)
	}
	list := c.noted(t)
	n, _, err := store.ReapplyErasures(ctx, c.super, list)
	must(t, err)
	if want := 3; n != want { // two attempts and the person
		t.Errorf("%d erased again, want %d", n, want)
	}
	all := c.everything(t)
	for _, w := range []string{"The pump was dead", "Person tom"} {
		if strings.Contains(all, w) {
			t.Errorf("%q came back", w)
		}
	}
	if n, _, err = store.ReapplyErasures(ctx, c.super, list); err != nil || n != 0 {
		t.Errorf("a third time: %d, %v", n, err)
	}
}

// withdraw is what an upheld appeal does with a later attempt; here by hand.
func (c *centre) withdraw(t *testing.T, id uuid.UUID) {
	t.Helper()
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		at, err := tx.LockAttempt(t.Context(), id)
		if err != nil {
			return err
		}
		at.State = decision.Withdrawn
		_, err = tx.SaveAttempt(t.Context(), at)
		return err
	}))
}

// proposed withdraws the next attempt, lets the three years of the rule and a month go by, and proposes what may be erased then.
func (c *centre) proposed(t *testing.T) uuid.UUID {
	t.Helper()
	c.withdraw(t, c.newest(t).ID)
	c.now = c.now.AddDate(0, 37, 0)
	id, err := c.ProposePurge(t.Context(), c.manager)
	must(t, err)
	return id
}

// The database itself refuses what one person alone, or too early, would have erased.
func TestTheDatabaseKeepsErasingApart(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	assurer := c.person(t, "anna", account.QualityAssurer)
	id := c.proposed(t)
	write := func(fn func(tx *store.Tx) error) error { return c.db.Write(ctx, c.id, fn) }
	approve := func(by uuid.UUID, days int) error {
		return write(func(tx *store.Tx) error { return tx.ApprovePurge(ctx, id, by, c.now.AddDate(0, 0, days)) })
	}
	erase := func() error {
		return write(func(tx *store.Tx) error {
			_, err := tx.Erase(ctx, id, store.PurgeItem{Item: attempt, Person: c.trainee.Person, Attempt: attempt}, c.now)
			return err
		})
	}
	wantKind(t, "erased without approval", erase(), fault.KindConflict)
	wantKind(t, "approved by who proposed it", approve(c.manager.Person, 20), fault.KindForbidden)
	wantKind(t, "approved a day early", approve(assurer.Person, 13), fault.KindConflict)
	must(t, approve(assurer.Person, 14))
	must(t, c.PlaceHold(ctx, c.manager, store.LegalHold{Person: c.trainee.Person, Words: "A claim is under way."}))
	wantKind(t, "erased while it is held", erase(), fault.KindConflict)
	app, err := pgx.Connect(ctx, c.super)
	must(t, err)
	defer app.Close(ctx)
	for _, sql := range []string{`SELECT erase_attempt_now('` + attempt.String() + `')`, `UPDATE record SET words = ''`, `DELETE FROM erasure`} {
		if _, err := app.Exec(ctx, `SET ROLE witnessmark_app; `+sql); err == nil {
			t.Errorf("the program's role may %s", sql)
		}
	}
}
