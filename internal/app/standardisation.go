package app

import (
	"context"
	"encoding/binary"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// How much one standardisation takes (our own values): more is not judged in an afternoon.
const (
	blindAttemptsMost = 20
	blindJudgesMost   = 20
)

// NewStandardisation is what is set for several people to judge blind.
type NewStandardisation struct {
	Title    string
	Words    string
	Brief    uuid.UUID
	Version  int
	Attempts []uuid.UUID // at that version
	Judges   []uuid.UUID // tutors and quality assurers
}

// StandardisationChoices is what a standardisation may be held on, and with whom.
type StandardisationChoices struct {
	Attempts []store.BlindChoice // at the version that is asked for; none where none is
	Judges   []store.BlindJudge
}

// StandardisationChoices lists the attempts at a brief version (the zero id for none) and the people to choose from.
func (a *App) StandardisationChoices(ctx context.Context, c account.Caller, brief uuid.UUID, version int) (StandardisationChoices, error) {
	var s StandardisationChoices
	err := account.May(c, account.Standardise)
	if err != nil {
		return s, err
	}
	if s.Judges, err = a.db.Assessors(ctx, c.Centre); err != nil || brief == uuid.Nil {
		return s, err
	}
	s.Attempts, err = a.db.BlindChoices(ctx, c.Centre, brief, version)
	return s, err
}

// Standardise sets attempts for several people to judge blind.
func (a *App) Standardise(ctx context.Context, c account.Caller, n NewStandardisation) (uuid.UUID, error) {
	n.Title, n.Words = strings.TrimSpace(n.Title), strings.TrimSpace(n.Words)
	offered, err := a.StandardisationChoices(ctx, c, n.Brief, n.Version)
	if err != nil {
		return uuid.Nil, err
	}
	if err := n.check(offered); err != nil {
		return uuid.Nil, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	// The last eight bytes of such an id are random; the seed stays with the row.
	seed := int64(binary.BigEndian.Uint64(id[8:]) >> 1)
	s := store.Standardisation{ID: id, Title: n.Title, Words: n.Words, Brief: n.Brief, Version: n.Version, Seed: seed, By: c.Person, At: a.now()}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.AddStandardisation(ctx, s, n.Attempts, n.Judges) })
}

// check refuses a standardisation that would show nothing, or names what is not offered.
func (n NewStandardisation) check(offered StandardisationChoices) error {
	attempt := func(id uuid.UUID) bool {
		return slices.ContainsFunc(offered.Attempts, func(x store.BlindChoice) bool { return x.Attempt == id })
	}
	judge := func(id uuid.UUID) bool {
		return slices.ContainsFunc(offered.Judges, func(x store.BlindJudge) bool { return x.Person == id })
	}
	switch {
	case n.Title == "" || len([]rune(n.Title)) > 200:
		return fault.Invalid("title", "Give it a name of at most 200 letters, for example the criteria that you want to talk about.")
	case len([]rune(n.Words)) > textMost:
		return fault.Invalid("words", "This is longer than %d characters. Say it more shortly.", textMost)
	case len(n.Attempts) == 0 || len(n.Attempts) > blindAttemptsMost || repeats(n.Attempts):
		return fault.Invalid("attempts", "Choose from one to %d attempts, each once.", blindAttemptsMost)
	case !all(n.Attempts, attempt):
		return fault.Invalid("attempts", "One of these attempts cannot be judged blind now. Load the page again and choose afresh.")
	case len(n.Judges) < 2 || len(n.Judges) > blindJudgesMost || repeats(n.Judges):
		return fault.Invalid("judges", "Choose from two to %d people, each once: one alone agrees with nobody.", blindJudgesMost)
	case !all(n.Judges, judge):
		return fault.Invalid("judges", "Only tutors and quality assurers of the centre judge. Choose afresh.")
	}
	return nil
}

func repeats(ids []uuid.UUID) bool {
	return len(slices.Compact(slices.SortedFunc(slices.Values(ids), func(a, b uuid.UUID) int { return slices.Compare(a[:], b[:]) }))) < len(ids)
}

func all(ids []uuid.UUID, ok func(uuid.UUID) bool) bool {
	return !slices.ContainsFunc(ids, func(id uuid.UUID) bool { return !ok(id) })
}

// Standardisations lists the newest: for quality assurers and managers the centre's, for a tutor those in which they judge.
func (a *App) Standardisations(ctx context.Context, c account.Caller) ([]store.Standardisation, error) {
	if err := account.May(c, account.SeeStandard); err != nil {
		return nil, err
	}
	return a.db.Standardisations(ctx, c.Centre, c.Person, account.May(c, account.SeeAllStandard) != nil)
}

// Standardisation is one as the caller may see it. What others said, whose the attempts are and what was decided of them are there
// once all have judged or it is closed, and not before.
type Standardisation struct {
	store.StandardisationSheet
	Judges    []BlindJudge
	Own       []OwnBlind           // what the caller judges, in the order of the places
	Agreement sampling.Agreement   // over all; the zero one until it is shown
	Criteria  []CriterionAgreement // in order; none until it is shown
	Rulings   []store.Ruling       // on these criteria, the newest first
	Actions   []store.Action       // that it led to, the newest first
	Owners    []store.BlindJudge   // whom the caller may ask to do something because of it, once it is shown; none where they may not
	MayClose  bool                 // the caller may, now
	MayRule   bool                 // the caller may
}

// BlindJudge is one of the people with how far they have come.
type BlindJudge struct {
	store.BlindJudge
	Done, Due int
}

// OwnBlind is an attempt that the caller judges.
type OwnBlind struct {
	Attempt uuid.UUID
	Place   int
	Done    bool
	Part    bool // they had part in it, and so do not
}

// CriterionAgreement is how far people agreed on one criterion, and what each said.
type CriterionAgreement struct {
	Ref, Text string
	sampling.Agreement
	Attempts []AttemptAgreement
}

// AttemptAgreement is what was said of one criterion of one attempt, in the order of the judges; nil where one said nothing.
type AttemptAgreement struct {
	store.BlindAttempt
	Said     []*store.BlindJudgement
	Standing *decision.Record // what was decided at the time; nil where nothing stands
}

// Apart says whether they did not all say the same.
func (s AttemptAgreement) Apart() bool {
	var first decision.Outcome
	for _, j := range s.Said {
		switch {
		case j == nil:
		case first == "":
			first = j.Outcome
		case first != j.Outcome:
			return true
		}
	}
	return false
}

// Standardisation reads one that the caller may see.
func (a *App) Standardisation(ctx context.Context, c account.Caller, id uuid.UUID) (Standardisation, error) {
	sheet, err := a.standardisationFor(ctx, c, id)
	if err != nil {
		return Standardisation{}, err
	}
	s := Standardisation{StandardisationSheet: sheet, Judges: judgesOf(sheet), Own: ownBlind(c, sheet)}
	s.MayClose = account.May(c, account.Standardise) == nil && sheet.ClosedAt.IsZero()
	s.MayRule = account.May(c, account.Rule) == nil
	if !sheet.Shown() {
		s.Judgements, s.Standing = nil, nil
		for i := range s.Attempts {
			s.Attempts[i].TraineeName, s.Attempts[i].State = "", ""
		}
		return s, nil
	}
	if account.May(c, account.RaiseAction) == nil {
		s.Owners = owners(sheet)
	}
	return s, a.results(ctx, c, &s)
}

// standardisationFor reads one that the caller may see, with everything.
func (a *App) standardisationFor(ctx context.Context, c account.Caller, id uuid.UUID) (store.StandardisationSheet, error) {
	if err := account.May(c, account.SeeStandard); err != nil {
		return store.StandardisationSheet{}, err
	}
	sheet, err := a.db.StandardisationSheet(ctx, c.Centre, id, c.Person)
	if err == nil && !sheet.Sits && account.May(c, account.SeeAllStandard) != nil {
		err = hidden("standardisation")
	}
	return sheet, err
}

// results adds what was said and how far people agreed.
func (a *App) results(ctx context.Context, c account.Caller, s *Standardisation) error {
	b, err := a.briefs.brief(s.Digest, func() (string, error) {
		v, err := a.db.BriefVersion(ctx, c.Centre, s.Brief, s.Version)
		return v.Source, err
	})
	if err != nil {
		return err
	}
	texts, err := a.criterionTexts(ctx, c.Centre, b, s.At)
	if err != nil {
		return err
	}
	var whole sampling.Judgements
	for _, ref := range b.CriterionRefs() {
		k := CriterionAgreement{Ref: ref, Text: texts[ref]}
		var rows sampling.Judgements
		for _, at := range s.Attempts {
			row, said := saidOf(s.StandardisationSheet, at.Attempt, ref)
			one := AttemptAgreement{BlindAttempt: at, Said: said}
			if i := slices.IndexFunc(s.Standing, func(r decision.Record) bool {
				return r.Attempt == at.Attempt && r.Subject == ref && r.Outcome != decision.TakenBack
			}); i >= 0 {
				one.Standing = &s.Standing[i]
			}
			k.Attempts, rows = append(k.Attempts, one), append(rows, row)
		}
		k.Agreement = agreed(rows, s.Seed)
		whole = append(whole, rows...)
		s.Criteria = append(s.Criteria, k)
	}
	s.Agreement = agreed(whole, s.Seed)
	if s.Rulings, err = a.db.RulingsOn(ctx, c.Centre, b.CriterionRefs()); err != nil {
		return err
	}
	s.Actions, err = a.db.ActionsOf(ctx, c.Centre, store.ActionFromStandardisation, s.ID)
	return err
}

func agreed(rows sampling.Judgements, seed int64) sampling.Agreement {
	return sampling.Agree(rows, string(decision.Met), string(decision.NotYetMet), uint64(seed))
}

// saidOf is what the judges, in their order, said of one criterion of one attempt.
func saidOf(s store.StandardisationSheet, attempt uuid.UUID, ref string) (row []string, said []*store.BlindJudgement) {
	for _, j := range s.Judges {
		i := slices.IndexFunc(s.Judgements, func(x store.BlindJudgement) bool {
			return x.Attempt == attempt && x.Person == j.Person && x.Criterion == ref
		})
		if i < 0 {
			row, said = append(row, ""), append(said, nil)
			continue
		}
		row, said = append(row, string(s.Judgements[i].Outcome)), append(said, &s.Judgements[i])
	}
	return row, said
}

// judgesOf says of each judge how far they have come.
func judgesOf(s store.StandardisationSheet) []BlindJudge {
	var out []BlindJudge
	for _, j := range s.Judges {
		b := BlindJudge{BlindJudge: j}
		for _, at := range s.Attempts {
			if !hadPart(s, at.Attempt, j.Person) {
				b.Due++
			}
			if judgedBlind(s, at.Attempt, j.Person) {
				b.Done++
			}
		}
		out = append(out, b)
	}
	return out
}

// ownBlind lists what the caller judges.
func ownBlind(c account.Caller, s store.StandardisationSheet) []OwnBlind {
	var own []OwnBlind
	for _, at := range s.Attempts {
		if s.Sits {
			own = append(own, OwnBlind{Attempt: at.Attempt, Place: at.Place, Done: judgedBlind(s, at.Attempt, c.Person), Part: hadPart(s, at.Attempt, c.Person)})
		}
	}
	return own
}

func hadPart(s store.StandardisationSheet, attempt, person uuid.UUID) bool {
	return slices.Contains(s.Parts, store.HadPart{Attempt: attempt, Person: person})
}

func judgedBlind(s store.StandardisationSheet, attempt, person uuid.UUID) bool {
	return slices.ContainsFunc(s.Judgements, func(j store.BlindJudgement) bool { return j.Attempt == attempt && j.Person == person })
}

// CloseStandardisation has nobody judge any more, and shows what was said so far.
func (a *App) CloseStandardisation(ctx context.Context, c account.Caller, id uuid.UUID) error {
	if _, err := a.standardisationFor(ctx, c, id); err != nil {
		return err
	}
	if err := account.May(c, account.Standardise); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		s, err := t.LockStandardisation(ctx, id, c.Person)
		switch {
		case err != nil:
			return err
		case !s.ClosedAt.IsZero():
			return fault.Conflict("%s closed it before. Load the page again to see what was said.", s.ClosedBy)
		}
		return t.CloseStandardisation(ctx, id, c.Person, a.now())
	})
}
