package app_test

import (
	"database/sql"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// signedOff does the sample brief and signs it off.
func (c *centre) signedOff(t *testing.T) uuid.UUID {
	t.Helper()
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for _, k := range s.Criteria {
		s = c.decide(t, id, k.Ref, decision.Met)
	}
	must(t, c.SignOff(t.Context(), c.tutor, id, s.Revision, password, ""))
	return id
}

// blindly says the same of every criterion of the sample brief but one.
func blindly(but string) []decision.Judgement {
	var js []decision.Judgement
	for _, ref := range []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"} {
		j := decision.Judgement{Criterion: ref, Outcome: decision.Met, Words: "Seen."}
		if ref == but {
			j.Outcome, j.Reason, j.Words = decision.NotYetMet, "sufficient", "One reading is not enough."
		}
		js = append(js, j)
	}
	return js
}

// standard is a standardisation of one signed-off attempt, judged by a tutor elsewhere and a quality assurer; the cohort's tutor,
// who decided it, is a judge too.
func (c *centre) standard(t *testing.T) (id, attempt uuid.UUID, assurer account.Caller) {
	t.Helper()
	assurer = c.person(t, "iris", account.QualityAssurer)
	attempt = c.signedOff(t)
	id, err := c.Standardise(t.Context(), assurer, app.NewStandardisation{
		Title: "Measuring", Brief: c.brief, Version: 1, Attempts: []uuid.UUID{attempt}, Judges: []uuid.UUID{c.other.Person, assurer.Person, c.tutor.Person},
	})
	must(t, err)
	return id, attempt, assurer
}

func TestNobodySeesWhatOthersSaidBeforeAllHave(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, attempt, assurer := c.standard(t)
	b, err := c.BlindSheet(ctx, c.other, id, attempt)
	must(t, err)
	switch {
	case b.Sheet.Trainee != "" || b.Sheet.TraineeID != uuid.Nil || len(b.Sheet.Records) > 0:
		t.Errorf("whose it is, or what was decided, is there: %q, %d records", b.Sheet.Trainee, len(b.Sheet.Records))
	case b.Sheet.Available == 0 || !b.May:
		t.Errorf("the marker's findings are missing (%d marks), or they may not judge (%v)", b.Sheet.Available, b.May)
	}
	for _, k := range b.Sheet.Criteria {
		if k.Decision != nil || len(k.Earlier) > 0 {
			t.Errorf("%s: a decision is there", k.Ref)
		}
	}
	file := b.Sheet.Stages[0].Items[0].Files[0].ID
	f, err := c.OpenFile(ctx, c.other, file, false)
	must(t, err)
	must(t, f.Content.Close())
	stranger := c.person(t, "pia", account.Tutor)
	_, err = c.OpenFile(ctx, stranger, file, false)
	wantKind(t, "a tutor who does not judge, on its photo", err, fault.KindNotFound)
	_, err = c.BlindSheet(ctx, stranger, id, attempt)
	wantKind(t, "a tutor who does not judge", err, fault.KindNotFound)
	_, err = c.BlindSheet(ctx, c.tutor, id, attempt)
	wantKind(t, "whoever decided it", err, fault.KindNotFound)
	_, err = c.Standardisation(ctx, stranger, id)
	wantKind(t, "the standardisation, to a tutor who does not judge", err, fault.KindNotFound)
	_, err = c.Standardisation(ctx, c.trainee, id)
	wantKind(t, "a trainee", err, fault.KindForbidden)

	wantKind(t, "half of the criteria", c.JudgeBlind(ctx, c.other, id, attempt, blindly("")[:2]), fault.KindInvalid)
	must(t, c.JudgeBlind(ctx, c.other, id, attempt, blindly("H2/1.2")))
	wantKind(t, "judging twice", c.JudgeBlind(ctx, c.other, id, attempt, blindly("")), fault.KindConflict)
	s, err := c.Standardisation(ctx, assurer, id)
	must(t, err)
	if s.Due != 2 || s.Done != 1 || len(s.Judgements) > 0 || len(s.Criteria) > 0 || len(s.Standing) > 0 || s.Attempts[0].TraineeName != "" {
		t.Fatalf("before all have judged: %d of %d, %+v", s.Done, s.Due, s)
	}
	must(t, c.JudgeBlind(ctx, assurer, id, attempt, blindly("")))
	s, err = c.Standardisation(ctx, c.other, id)
	must(t, err)
	if !s.Shown() || len(s.Criteria) != 4 || s.Attempts[0].TraineeName == "" {
		t.Fatalf("all have judged: shown %v, %d criteria", s.Shown(), len(s.Criteria))
	}
	apart := 0
	for _, k := range s.Criteria {
		one := k.Attempts[0]
		if one.Apart() {
			apart++
		}
		if len(one.Said) != 3 || one.Standing == nil || one.Standing.Outcome != string(decision.Met) {
			t.Errorf("%s: %d columns, standing %+v", k.Ref, len(one.Said), one.Standing)
		}
	}
	if apart != 1 || s.Agreement.Things != 4 || s.Agreement.Pairs != 4 || s.Agreement.Raw.Value != 0.75 || !s.Agreement.TooFew {
		t.Errorf("%d criteria apart, %+v", apart, s.Agreement)
	}
	// The attempt itself is as it was.
	if now := c.seenBy(t, c.tutor, attempt); now.State != decision.SignedOff {
		t.Errorf("the attempt is %s", now.State)
	}
}

func TestClosingShowsWhatWasSaid(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, attempt, assurer := c.standard(t)
	must(t, c.JudgeBlind(ctx, c.other, id, attempt, blindly("")))
	wantKind(t, "a tutor closing it", c.CloseStandardisation(ctx, c.other, id), fault.KindForbidden)
	must(t, c.CloseStandardisation(ctx, assurer, id))
	wantKind(t, "closing it again", c.CloseStandardisation(ctx, assurer, id), fault.KindConflict)
	wantKind(t, "judging after that", c.JudgeBlind(ctx, assurer, id, attempt, blindly("")), fault.KindConflict)
	s, err := c.Standardisation(ctx, c.manager, id)
	must(t, err)
	if !s.Shown() || s.Agreement.Raw.Known { // one alone agrees with nobody
		t.Errorf("shown %v, %+v", s.Shown(), s.Agreement)
	}
}

// What a standardisation and a ruling ask for stands on their pages until somebody else has seen that it is done, and what is about
// one piece of work keeps it from being claimed.
func TestActionsOfAStandardisationAndARuling(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, attempt, assurer := c.standard(t)
	do := app.Action{Attempt: attempt, Words: " Photograph the second reading. ", Owner: c.tutor.Person, Due: c.now.AddDate(0, 0, 14)}
	wantKind(t, "before it is shown", c.ActOnStandardisation(ctx, assurer, id, do), fault.KindConflict)
	must(t, c.JudgeBlind(ctx, c.other, id, attempt, blindly("H2/1.2")))
	must(t, c.CloseStandardisation(ctx, assurer, id))
	for name, x := range map[string]app.Action{
		"about other work":    {Attempt: uuid.New(), Words: "Do it.", Owner: do.Owner, Due: do.Due},
		"for a trainee":       {Words: "Do it.", Owner: c.trainee.Person, Due: do.Due},
		"for who was not in":  {Words: "Do it.", Owner: c.second.Person, Due: do.Due},
		"without words":       {Words: " ", Owner: do.Owner, Due: do.Due},
		"by a day that is no": {Words: "Do it.", Owner: do.Owner},
		"by yesterday":        {Words: "Do it.", Owner: do.Owner, Due: c.now.AddDate(0, 0, -1)},
	} {
		wantKind(t, name, c.ActOnStandardisation(ctx, assurer, id, x), fault.KindInvalid)
	}
	for _, who := range []account.Caller{c.other, c.manager} {
		wantKind(t, who.Name, c.ActOnStandardisation(ctx, who, id, do), fault.KindForbidden)
	}
	wantKind(t, "a tutor who did not judge", c.ActOnStandardisation(ctx, c.second, id, do), fault.KindNotFound)
	must(t, c.ActOnStandardisation(ctx, assurer, id, do))
	s, err := c.Standardisation(ctx, assurer, id)
	must(t, err)
	if len(s.Actions) != 1 || s.Actions[0].Words != "Photograph the second reading." || s.Actions[0].Attempt != attempt || len(s.Owners) != 3 {
		t.Fatalf("its actions: %+v, owners %+v", s.Actions, s.Owners)
	}
	holds := func() bool {
		p, err := c.Claimable(ctx, c.manager, "H2", nil)
		must(t, err)
		return len(p.Rest) == 1 && strings.Contains(strings.Join(p.Rest[0].Why, " "), "action that is still open")
	}
	if !holds() {
		t.Error("its open action does not stand in the way of a claim")
	}
	must(t, c.CloseAction(ctx, c.manager, s.Actions[0].ID, "Seen."))
	if holds() {
		t.Error("its closed action stands in the way of a claim")
	}

	ruling, err := c.MakeRuling(ctx, assurer, app.NewRuling{Criterion: "H2/1.2", Words: "Three readings.", Doubts: store.DoubtsNone, EffectiveOn: c.now})
	must(t, err)
	say := app.Action{Words: "Say so at the next meeting.", Owner: c.second.Person, Due: do.Due}
	wantKind(t, "for a trainee", c.ActOnRuling(ctx, assurer, ruling, app.Action{Words: "Do it.", Owner: c.trainee.Person, Due: do.Due}), fault.KindInvalid)
	wantKind(t, "on no ruling", c.ActOnRuling(ctx, assurer, id, say), fault.KindNotFound)
	wantKind(t, "a tutor", c.ActOnRuling(ctx, c.tutor, ruling, say), fault.KindForbidden)
	must(t, c.ActOnRuling(ctx, assurer, ruling, say))
	g, err := c.Ruling(ctx, c.tutor, ruling, store.After{})
	must(t, err)
	if len(g.Actions) != 1 || g.Actions[0].Source != store.ActionFromRuling || g.Actions[0].OwnerName != c.second.Name || len(g.Owners) != 0 {
		t.Errorf("the ruling's actions: %+v", g.Actions)
	}
	open, err := c.OpenActions(ctx, c.second, 1)
	must(t, err)
	if len(open.Rows) != 1 || open.All != 1 || open.Rows[0].SourceID != ruling {
		t.Errorf("their owner's: %+v", open)
	}
	if w, err := c.CentreWaits(ctx, c.manager); err != nil || w.Actions != 1 {
		t.Errorf("the centre counts %d (%v), want 1", w.Actions, err)
	}
}

// An action of a ruling that was kept as a standardisation's, as they once were, is a ruling's all the same.
func TestAnActionFromBeforeRulingsHadTheirOwn(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "iris", account.QualityAssurer)
	ruling, err := c.MakeRuling(ctx, assurer, app.NewRuling{Criterion: "H2/1.2", Words: "Three readings.", Doubts: store.DoubtsNone, EffectiveOn: c.now})
	must(t, err)
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		return tx.AddAction(ctx, store.Action{ID: uuid.New(), Source: store.ActionFromStandardisation, SourceID: ruling, Words: "Do it.", Owner: c.tutor.Person, Due: c.now, RaisedBy: assurer.Person, RaisedAt: c.now})
	}))
	g, err := c.Ruling(ctx, assurer, ruling, store.After{})
	must(t, err)
	if len(g.Actions) != 1 || g.Actions[0].Source != store.ActionFromRuling {
		t.Errorf("its actions: %+v", g.Actions)
	}
}

func TestStandardisationsThatWouldShowNothing(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "iris", account.QualityAssurer)
	attempt := c.signedOff(t)
	good := func() app.NewStandardisation {
		return app.NewStandardisation{Title: "Measuring", Brief: c.brief, Version: 1, Attempts: []uuid.UUID{attempt}, Judges: []uuid.UUID{c.other.Person, assurer.Person}}
	}
	for _, x := range []struct {
		name   string
		change func(*app.NewStandardisation)
	}{
		{"no title", func(n *app.NewStandardisation) { n.Title = " " }},
		{"a title without end", func(n *app.NewStandardisation) { n.Title = strings.Repeat("x", 201) }},
		{"no attempt", func(n *app.NewStandardisation) { n.Attempts = nil }},
		{"an attempt twice", func(n *app.NewStandardisation) { n.Attempts = []uuid.UUID{attempt, attempt} }},
		{"an attempt that is not there", func(n *app.NewStandardisation) { n.Attempts = []uuid.UUID{uuid.New()} }},
		{"an attempt at another version", func(n *app.NewStandardisation) { n.Version = 2 }},
		{"one judge", func(n *app.NewStandardisation) { n.Judges = n.Judges[:1] }},
		{"a judge twice", func(n *app.NewStandardisation) { n.Judges[1] = n.Judges[0] }},
		{"a trainee as judge", func(n *app.NewStandardisation) { n.Judges[1] = c.trainee.Person }},
	} {
		n := good()
		x.change(&n)
		_, err := c.Standardise(ctx, assurer, n)
		wantKind(t, x.name, err, fault.KindInvalid)
	}
	_, err := c.Standardise(ctx, c.tutor, good())
	wantKind(t, "a tutor setting one", err, fault.KindForbidden)
}

// The database holds the same rules, whatever the program does.
func TestDatabaseKeepsJudgesApart(t *testing.T) {
	c := newCentre(t)
	id, attempt, assurer := c.standard(t)
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	insert := func(person uuid.UUID) error {
		_, err := db.ExecContext(t.Context(), `INSERT INTO blind_judgement (centre_id, standardisation_id, attempt_id, person_id, criterion, outcome, reason, words, judged_at)
			VALUES ($1, $2, $3, $4, 'H2/1.1', 'met', '', '', now())`, c.id, id, attempt, person)
		return err
	}
	if err := insert(c.tutor.Person); err == nil || !strings.Contains(err.Error(), "had part in") {
		t.Errorf("whoever decided it judges it blind: %v", err)
	}
	if err := insert(c.second.Person); err == nil || !strings.Contains(err.Error(), "violates foreign key") {
		t.Errorf("somebody judges who was not asked: %v", err)
	}
	must(t, insert(assurer.Person))
	must(t, c.CloseStandardisation(t.Context(), assurer, id))
	if err := insert(c.other.Person); err == nil || !strings.Contains(err.Error(), "is closed") {
		t.Errorf("somebody judges after it was closed: %v", err)
	}
	g, err := c.MakeRuling(t.Context(), assurer, app.NewRuling{Criterion: "H2/1.2", Words: "Three readings.", Doubts: store.DoubtsMet, EffectiveOn: c.now.AddDate(0, 0, 1)})
	must(t, err)
	_, err = db.ExecContext(t.Context(), `INSERT INTO ruling_look (centre_id, look_id, ruling_id, attempt_id, record_id, outcome, words, looked_by, looked_at)
		SELECT r.centre_id, gen_random_uuid(), $1, r.attempt_id, r.record_id, 'stands', '', r.by_id, now() FROM record r WHERE r.kind = 'criterion_decision' LIMIT 1`, g)
	if err == nil || !strings.Contains(err.Error(), "had part in") {
		t.Errorf("somebody looks again at their own decision: %v", err)
	}
}

func TestRulingPutsEarlierDecisionsInQuestion(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, attempt, assurer := c.standard(t)
	rule := func(change func(*app.NewRuling)) (uuid.UUID, error) {
		n := app.NewRuling{Standardisation: id, Criterion: "H2/1.2", Words: "Three readings, each written down.", Doubts: store.DoubtsMet, EffectiveOn: c.now.AddDate(0, 0, 1).Truncate(24 * time.Hour)}
		change(&n)
		return c.MakeRuling(ctx, assurer, n)
	}
	for name, change := range map[string]func(*app.NewRuling){
		"a criterion that is not there": func(n *app.NewRuling) { n.Criterion = "H2/9.9" },
		"a unit that is not there":      func(n *app.NewRuling) { n.Criterion = "X1/1.1" },
		"no words":                      func(n *app.NewRuling) { n.Words = " " },
		"no doubts":                     func(n *app.NewRuling) { n.Doubts = "some" },
		"no day":                        func(n *app.NewRuling) { n.EffectiveOn = time.Time{} },
		"since after it":                func(n *app.NewRuling) { n.Since = n.EffectiveOn.AddDate(0, 0, 1) },
	} {
		_, err := rule(change)
		wantKind(t, name, err, fault.KindInvalid)
	}
	_, err := c.MakeRuling(ctx, c.tutor, app.NewRuling{})
	wantKind(t, "a tutor ruling", err, fault.KindForbidden)

	same := func(*app.NewRuling) {}
	g, err := rule(same)
	must(t, err)
	r, err := c.Ruling(ctx, c.tutor, g, store.After{})
	must(t, err)
	if len(r.Rows) != 1 || r.All != 1 || r.Looked != 0 || r.Rows[0].Attempt != attempt || r.Rows[0].ByName != c.tutor.Name || r.More {
		t.Fatalf("in question: %+v", r)
	}
	if r, err := c.Ruling(ctx, c.other, g, store.After{}); err != nil || len(r.Rows) != 0 || r.All != 0 {
		t.Errorf("a tutor of another cohort reads of it: %+v, %v", r.Rows, err)
	}
	if r, err := c.Ruling(ctx, c.manager, g, store.After{}); err != nil || len(r.Rows) != 1 || r.All != 1 {
		t.Errorf("the manager: %+v, %v", r.Rows, err)
	}
	for name, change := range map[string]func(*app.NewRuling){
		"of the other outcome": func(n *app.NewRuling) { n.Doubts = store.DoubtsNotYet },
		"none":                 func(n *app.NewRuling) { n.Doubts = store.DoubtsNone },
		"before that day":      func(n *app.NewRuling) { n.EffectiveOn = n.EffectiveOn.AddDate(0, 0, -2) },
		"since then": func(n *app.NewRuling) {
			n.EffectiveOn, n.Since = n.EffectiveOn.AddDate(0, 0, 9), n.EffectiveOn.AddDate(0, 0, 2)
		},
		"of another criterion": func(n *app.NewRuling) { n.Criterion = "H3/1.2" },
	} {
		other, err := rule(change)
		if name == "of another criterion" {
			wantKind(t, name, err, fault.KindInvalid)
			continue
		}
		must(t, err)
		if r, err := c.Ruling(ctx, assurer, other, store.After{}); err != nil || r.All != 0 || len(r.Rows) != 0 {
			t.Errorf("%s: %d in question (%v)", name, r.All, err)
		}
	}

	look := app.RulingLook{Ruling: g, Record: r.Rows[0].Record, Outcome: store.LookAfresh, Words: "Only one reading is there.", Due: c.now.AddDate(0, 0, 7)}
	wantKind(t, "a tutor looking", c.LookUnderRuling(ctx, c.tutor, look), fault.KindForbidden)
	wantKind(t, "with another outcome", c.LookUnderRuling(ctx, assurer, app.RulingLook{Ruling: g, Record: look.Record, Outcome: "gone"}), fault.KindInvalid)
	wantKind(t, "afresh by yesterday", c.LookUnderRuling(ctx, assurer, app.RulingLook{Ruling: g, Record: look.Record, Outcome: store.LookAfresh, Words: "x", Due: c.now.AddDate(0, 0, -1)}), fault.KindInvalid)
	wantKind(t, "at what is not in question", c.LookUnderRuling(ctx, assurer, app.RulingLook{Ruling: g, Record: uuid.New(), Outcome: store.LookStands}), fault.KindNotFound)
	must(t, c.LookUnderRuling(ctx, assurer, look))
	r, err = c.Ruling(ctx, assurer, g, store.After{})
	must(t, err)
	if r, err := c.Ruling(ctx, c.second, g, store.After{}); err != nil || len(r.Actions) != 0 {
		t.Errorf("what another is asked to do about an attempt: %+v, %v", r.Actions, err)
	}
	if r.Looked != 1 || r.Rows[0].Looked != store.LookAfresh || r.Rows[0].LookedBy != assurer.Name || r.Rows[0].LookedWords != look.Words {
		t.Errorf("looked at: %+v", r.Rows[0])
	}
	if now := c.seenBy(t, c.tutor, attempt); now.State != decision.SignedOff {
		t.Errorf("looking undid something: the attempt is %s", now.State)
	}
	open, _, err := c.db.OpenActions(ctx, c.id, c.tutor.Person, 0, 9)
	must(t, err)
	if len(open) != 1 || open[0].Attempt != attempt || open[0].Words != look.Words || open[0].SourceID != g {
		t.Errorf("actions: %+v", open)
	}
	r, err = c.Ruling(ctx, assurer, g, store.After{At: r.Rows[0].At, Record: r.Rows[0].Record})
	if err != nil || len(r.Rows) != 0 || r.All != 1 {
		t.Errorf("after the last: %+v (%v)", r.Rows, err)
	}
}
