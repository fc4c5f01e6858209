package store_test

import (
	"errors"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// newPerson adds somebody to the bench's centre.
func (b bench) newPerson(t *testing.T, name string, role account.Role) uuid.UUID {
	t.Helper()
	id := newID(t)
	b.write(t, func(tx *store.Tx) error {
		return tx.AddPerson(t.Context(), store.Person{ID: id, Name: name, SignInName: id.String(), Roles: []account.Role{role}, CreatedAt: monday,
			Registrations: []account.Registration{storetest.Award()}})
	})
	return id
}

// fillPeople registers Ann with the awarding organisation and declares a conflict.
func (b bench) fillPeople(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	b.write(t, func(tx *store.Tx) error {
		return errors.Join(
			tx.AddAwardRegistration(ctx, store.AwardRegistration{ID: newID(t), Person: b.ann, Number: "AO-1", RegisteredOn: date(2026, 2, 1), EnteredBy: b.tutor, EnteredAt: monday}),
			tx.AddConflict(ctx, store.Conflict{ID: newID(t), Person: b.ann, Other: b.bob, Words: "They share a house.", DeclaredBy: b.tutor, DeclaredAt: monday}))
	})
}

// fillRegister puts an instrument into the register that failed a check, and says of two attempts that they are alike.
func (b bench) fillRegister(t *testing.T) {
	t.Helper()
	ctx, register, good, failed := t.Context(), newID(t), newID(t), newID(t)
	photo, other := b.photo(t), b.photo(t)
	other.Attempt, other.By = b.bobDoes, b.bob
	b.write(t, func(tx *store.Tx) error {
		_, e1 := tx.AddEvidence(ctx, photo)
		_, e2 := tx.AddEvidence(ctx, other)
		return errors.Join(e1, e2,
			tx.AddRegistered(ctx, store.Registered{ID: register, Name: "Thermometer", Serial: "T-14", Kinds: []string{"thermometer"}, AddedAt: monday}, b.tutor),
			tx.AddRegisterEvent(ctx, store.RegisterEvent{ID: good, Register: register, What: decision.Calibration, DoneAt: monday, Good: true, Certificate: "C-1",
				DueOn: date(2027, 3, 2), EnteredAt: monday}, b.tutor),
			tx.AddRegisterEvent(ctx, store.RegisterEvent{ID: failed, Register: register, What: decision.IcePoint, DoneAt: monday, Words: "It reads high.", EnteredAt: monday}, b.tutor),
			tx.StrikeRegisterEvent(ctx, good, b.tutor, monday, "Another instrument."),
			tx.LookAtTouched(ctx, newID(t), failed, b.annDoes, "stands", "Read beside another.", b.tutor, monday),
			tx.SetPairs(ctx, photo.ID, []store.Pair{{Other: other.ID, Exact: true, Correlation: 1, FoundAt: monday}}),
			tx.LookAtAlike(ctx, store.NewAlikeLook{ID: newID(t), Attempt: b.annDoes, Other: b.bobDoes, Thing: "readings", Outcome: "talked", Words: "They share a rig.", By: b.tutor, At: monday}),
			tx.SetAlike(ctx, newID(t), b.tutor, store.AlikeSetting{Pattern: 6, Edges: 4, Correlation: 0.95, Words: "Bay 7.", At: monday}))
	})
}

// fillStandards has an assurer judge blind and rule, and opens one of each small file. Both attempts are decided.
func (b bench) fillStandards(t *testing.T) {
	t.Helper()
	ctx, assurer := t.Context(), b.newPerson(t, "Quinn Quality", account.QualityAssurer)
	standard, ruling, comment, prior, inquiry := newID(t), newID(t), newID(t), newID(t), newID(t)
	ref, decided := b.unit+"/1.1", b.record(t, decision.KindCriterion, b.unit+"/1.1", string(decision.Met))
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.SaveDraft(ctx, store.BriefDraft{Brief: b.brief, Source: "brief: 1\n# third\n", Title: "Fill", Digest: hexOf("third"), Units: []string{b.unit},
			By: b.tutor, At: monday, Over: hexOf("corrected")})
		return errors.Join(err,
			tx.AppendRecord(ctx, decided),
			tx.AddStandardisation(ctx, store.Standardisation{ID: standard, Title: "Filling", Brief: b.brief, Version: 1, Seed: 3, By: assurer, At: monday},
				[]uuid.UUID{b.annDoes}, []uuid.UUID{assurer}),
			tx.JudgeBlind(ctx, standard, []store.BlindJudgement{{Attempt: b.annDoes, Person: assurer, Criterion: ref, Outcome: decision.Met, At: monday}}),
			tx.AddRuling(ctx, store.Ruling{ID: ruling, Standardisation: standard, Criterion: ref, Words: "The label is to be seen.", Doubts: store.DoubtsBoth,
				EffectiveOn: date(2026, 3, 3), By: assurer, At: monday}),
			tx.AddBriefComment(ctx, store.BriefComment{ID: comment, Brief: b.brief, Version: 3, Words: "Which pump?", By: assurer, At: monday}),
			tx.AnswerBriefComment(ctx, comment, b.tutor, monday, "Either."),
			tx.AddPrior(ctx, store.Prior{ID: prior, Trainee: b.bob, Unit: b.unit, Criteria: []string{ref}, Words: "Two years with a firm.", By: b.bob, At: monday}),
			tx.AddPriorFile(ctx, store.PriorFile{ID: newID(t), Prior: prior, Name: "letter.jpg", MediaType: "image/jpeg", Size: 4, Digest: hexOf("letter"), By: b.bob, At: monday}),
			tx.DecidePrior(ctx, prior, store.PriorDecision{Criterion: ref, Outcome: decision.Met, Words: "The letter says so.", By: b.tutor, At: monday}),
			tx.LookAtPrior(ctx, prior, store.PriorLook{Criterion: ref, Outcome: decision.Agree, Words: "So it does.", By: assurer, At: monday}),
			tx.AddInquiry(ctx, store.Inquiry{ID: inquiry, Concerns: b.bob, Words: "Two sheets alike.", By: assurer, At: monday}),
			tx.NoteInquiry(ctx, newID(t), inquiry, assurer, monday, "They share a rig."),
			tx.FreezeFor(ctx, inquiry, b.bobDoes))
	})
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.LookUnderRuling(ctx, store.Look{ID: newID(t), Ruling: ruling, Record: decided.ID, Outcome: store.LookStands, By: assurer, At: monday})
		return err
	})
}

// fillLeavers withdraws Bob from the cohort and takes it back.
func (b bench) fillLeavers(t *testing.T) {
	t.Helper()
	ctx, manager, id := t.Context(), b.newPerson(t, "Mo Desk", account.Manager), newID(t)
	b.write(t, func(tx *store.Tx) error {
		return tx.AddWithdrawal(ctx, store.Withdrawal{ID: id, Cohort: b.cohort, Trainee: b.bob, LeftOn: date(2026, 3, 1), Words: "A job elsewhere.", By: manager, At: monday})
	})
	b.write(t, func(tx *store.Tx) error {
		return tx.TakeBackWithdrawal(ctx, id, manager, monday, "It was another Bob.")
	})
}

// fillVisit has a verifier draw, look and note on a visit.
func (b bench) fillVisit(t *testing.T) {
	t.Helper()
	ctx, verifier := t.Context(), b.newPerson(t, "Vera Outside", account.ExternalVerifier)
	v := store.Visit{ID: newID(t), Verifier: verifier, Link: newID(t), Unit: b.unit, Words: "The spring visit.", ArrangedBy: b.tutor, ArrangedAt: monday, EndsAt: monday.AddDate(0, 0, 7)}
	b.write(t, func(tx *store.Tx) error {
		if err := tx.AddLink(ctx, store.Link{ID: v.Link, Digest: sum(v.ID.String()), Purpose: "visit", Person: verifier, ExpiresAt: v.EndsAt}); err != nil {
			return err
		}
		n, err := tx.AddVisit(ctx, v, uuid.Nil, false)
		if err != nil || n != 2 {
			t.Fatalf("a visit reaches %d attempts, %v; want both", n, err)
		}
		seed := "00112233445566778899aabbccddeeff"
		return errors.Join(
			tx.AddVisitDraw(ctx, v.ID, store.VisitDraw{Seed: seed, Digest: hexOf("list"), Listed: 2, Size: 1, By: verifier, At: monday}, []uuid.UUID{b.annDoes}),
			tx.AddVisitView(ctx, v.ID, store.VisitView{ID: newID(t), What: store.LookedAttempt, Subject: b.annDoes, By: verifier, At: monday}),
			tx.AddVisitNote(ctx, v.ID, store.VisitNote{ID: newID(t), Attempt: b.annDoes, Finding: store.VisitConfirmed, By: verifier, At: monday}))
	})
}

// fillKeeping holds what is kept of Ann, gives it out, and has Bob's attempt erased.
func (b bench) fillKeeping(t *testing.T) {
	t.Helper()
	ctx, approver, id := t.Context(), b.newPerson(t, "Ada Holm", account.Manager), newID(t)
	item := store.PurgeItem{Item: b.bobDoes, Person: b.bob, Attempt: b.bobDoes, Due: monday, Rule: "decisions: 36 months"}
	later := monday.AddDate(0, 0, 14)
	b.write(t, func(tx *store.Tx) error {
		if err := errors.Join(
			tx.AddRetentionRule(ctx, store.RetentionRule{ID: newID(t), Kind: store.KeepWork, Months: 24, Words: "A letter.", By: approver, At: monday}),
			tx.AddHold(ctx, store.LegalHold{ID: newID(t), Person: b.ann, Words: "A claim is under way.", PlacedBy: approver, PlacedAt: monday}),
			tx.AddPersonExport(ctx, store.PersonExport{ID: newID(t), Person: b.ann, By: approver, At: monday}),
			tx.AddPurge(ctx, store.Purge{ID: id, ProposedBy: b.tutor, ProposedAt: monday}, []store.PurgeItem{item}),
			tx.ApprovePurge(ctx, id, approver, later)); err != nil {
			return err
		}
		_, err := tx.Erase(ctx, id, item, later)
		return errors.Join(err, tx.EndPurge(ctx, id, later))
	})
}
