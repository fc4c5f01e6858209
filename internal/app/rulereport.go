package app

import (
	"context"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
	"witnessmark/internal/store"
)

// RuleReport says what an edition of a rule set changes against the one before it, and what that concerns.
type RuleReport struct {
	Edition  store.RuleEdition
	Before   *store.RuleEdition // nil where there is none: then nothing changes
	Changes  []RuleChange
	Briefs   []ConcernedBrief
	Attempts []ConcernedAttempt // those marked under another edition since its first day come first
	Hidden   int                // attempts that the caller may not see
}

// ConcernedBrief is a version of a brief that names changed rules.
type ConcernedBrief struct {
	store.BriefVersion
	Changes  []RuleChange
	Problems []string // what the checker says of the brief under the edition, in sentences: its model answer may no longer be right
}

// ConcernedAttempt is an attempt whose brief names changed rules, and that was marked under another edition since the first
// day of this one, or is not signed off yet.
type ConcernedAttempt struct {
	Attempt    uuid.UUID
	Trainee    string
	Cohort     string
	Brief      string
	Number     int
	State      decision.State
	HandedAt   time.Time // zero before
	MarkedAt   time.Time // zero before
	Under      string    // the edition that it was marked with; "" where it has not been marked
	Late       bool      // marked under that edition on or after the first day of this one
	HandedLate bool      // handed over then, too
	MayMark    bool      // it may be marked again under this edition, by the caller
	Revision   int
	Lines      []ConcernedLine // what the marker says where it comes out differently, or a changed limit stands
}

// ConcernedLine is one line of a marked attempt under both editions.
type ConcernedLine struct {
	Item     string // its title
	Stated   string
	Was, Now string // limits, or references, in words; "" where there is none
	Verdict  marking.Verdict
	Would    marking.Verdict // under this edition
}

// RuleReport lists what an edition concerns. The edition may be a draft: then it says what checking it will.
func (a *App) RuleReport(ctx context.Context, c account.Caller, id uuid.UUID) (RuleReport, error) {
	t, err := a.Rules(ctx, c, id)
	if err != nil {
		return RuleReport{}, err
	}
	if t.Set == nil {
		return RuleReport{}, fault.Conflict("This edition's text cannot be read, so nothing can be held beside it.")
	}
	r := RuleReport{Edition: t.RuleEdition, Before: before(t)}
	if r.Before == nil {
		return r, nil
	}
	was, err := a.ruleSets([]store.RuleEdition{*r.Before})
	if err != nil {
		return RuleReport{}, err
	}
	r.Changes = ruleChanges(&was[0], t.Set)
	var changed []string
	for _, ch := range r.Changes {
		changed = append(changed, t.Key+"/"+ch.Key)
	}
	for _, v := range t.Briefs {
		cb := ConcernedBrief{BriefVersion: v}
		for i, name := range changed {
			if slices.Contains(v.Rules, name) {
				cb.Changes = append(cb.Changes, r.Changes[i])
			}
		}
		if len(cb.Changes) == 0 {
			continue
		}
		if cb.Problems, err = a.problemsUnder(ctx, c.Centre, v, t); err != nil {
			return RuleReport{}, err
		}
		r.Briefs = append(r.Briefs, cb)
	}
	return r, a.concernedAttempts(ctx, c, t, changed, &r)
}

// problemsUnder is what stands against a brief with the edition in force, and today's of other sets.
func (a *App) problemsUnder(ctx context.Context, centre int64, v store.BriefVersion, t RuleText) ([]string, error) {
	v, err := a.db.BriefVersion(ctx, centre, v.Brief, v.Version)
	if err != nil {
		return nil, err
	}
	b, err := brief.Read([]byte(v.Source))
	if err != nil {
		return nil, err
	}
	editions, err := a.db.RulesOf(ctx, centre, b.RuleSets())
	if err != nil {
		return nil, err
	}
	sets, err := a.ruleSets(editions)
	if err != nil {
		return nil, err
	}
	var with []brief.RuleEdition
	for _, e := range editions {
		if e.ID == t.ID || e.Key != t.Key && e.InForce(date(a.today())) {
			with = append(with, brief.RuleEdition{Set: e.Key, Edition: e.Edition})
		}
	}
	book, _ := brief.BookOf(sets, with) // they are all among the sets
	under, problems := b.Under(book)
	if problems.Err() == nil {
		problems = FullCheck(under, a.functions, nil)
	}
	var why []string
	for _, p := range problems.Failures() {
		why = append(why, p.Text)
	}
	return why, nil
}

// before is the checked edition of the same set that was in force before this one, or whose place it takes.
func before(t RuleText) *store.RuleEdition {
	own := slices.IndexFunc(t.Editions, func(e store.RuleEdition) bool { return e.ID == t.ID })
	for i := own + 1; i < len(t.Editions); i++ { // the latest first day comes first
		if t.Editions[i].Checked() {
			return &t.Editions[i]
		}
	}
	return nil
}

// concernedAttempts fills in the attempts.
func (a *App) concernedAttempts(ctx context.Context, c account.Caller, t RuleText, changed []string, r *RuleReport) error {
	if len(changed) == 0 {
		return nil
	}
	since := midnight(t.ValidFrom)
	ids, err := a.db.AttemptsUnder(ctx, c.Centre, t.Key, t.Edition, changed, since)
	if err != nil || len(ids) == 0 {
		return err
	}
	sheets, err := a.db.JobSheets(ctx, c.Centre, ids)
	if err != nil {
		return err
	}
	for _, j := range sheets {
		st := standings(c, j.Attempt)
		if account.May(c, account.SeeAttempt, st...) != nil {
			r.Hidden++
			continue
		}
		at, err := a.concerned(j, t, changed, since)
		if err != nil {
			return err
		}
		at.MayMark = t.Checked() && at.Under != "" && account.May(c, account.MarkAgain, st...) == nil &&
			(at.State == decision.Checked || at.State == decision.Decided)
		r.Attempts = append(r.Attempts, at)
	}
	slices.SortStableFunc(r.Attempts, func(x, y ConcernedAttempt) int { return rank(x) - rank(y) })
	return nil
}

// rank puts what needs a decision first.
func rank(at ConcernedAttempt) int {
	switch {
	case at.HandedLate:
		return 0
	case at.Late:
		return 1
	case at.Under != "":
		return 2
	case at.State != decision.Planned:
		return 3
	}
	return 4
}

// midnight is the beginning of a date in London.
func midnight(day time.Time) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, London())
}

// concerned says how one attempt stands to an edition.
func (a *App) concerned(j store.JobSheet, t RuleText, changed []string, since time.Time) (ConcernedAttempt, error) {
	at := ConcernedAttempt{
		Attempt: j.Attempt.ID, Trainee: j.Trainee.Name, Cohort: j.Task.CohortName, Brief: j.Brief.Title, Number: j.Attempt.Number,
		State: j.Attempt.State, HandedAt: j.Attempt.HandedOverAt, Revision: j.Attempt.Revision,
	}
	if j.Marking == nil {
		return at, nil
	}
	at.MarkedAt, at.Late = j.Marking.At, !j.Marking.At.Before(since)
	at.HandedLate = at.Late && !at.HandedAt.Before(since)
	for _, e := range j.Marking.Result.Rules {
		if e.Set == t.Key {
			at.Under = e.Edition
		}
	}
	r, err := a.forAttempt(j)
	if err != nil {
		return at, err
	}
	if !t.Checked() { // then it is not among the sheet's editions
		j.Rules = append(slices.Clone(j.Rules), t.RuleEdition)
	}
	would, err := a.underInstead(loaded{JobSheet: j, ruled: r}, t.RuleEdition)
	if err != nil || would.compiled == nil {
		return at, err
	}
	b, err := a.briefs.brief(j.Brief.Digest, func() (string, error) { return j.Brief.Source, nil })
	if err != nil {
		return at, err
	}
	at.Lines = concernedLines(j.Marking.Result, marking.Mark(would.compiled, sheetOf(loaded{JobSheet: j})), b, changed)
	return at, nil
}

// concernedLines lists the findings whose limit a changed rule is, and those that come out otherwise.
func concernedLines(was, now marking.Result, b *brief.Brief, changed []string) []ConcernedLine {
	limited := map[string]bool{}
	for _, u := range ruleUses(b) {
		limited[u.Item] = limited[u.Item] || u.Item != "" && slices.Contains(changed, u.Rule)
	}
	var lines []ConcernedLine
	for _, f := range was.Findings {
		i := slices.IndexFunc(now.Findings, func(g marking.Finding) bool { return g.Line() == f.Line() })
		if i < 0 {
			continue
		}
		g := now.Findings[i]
		it, _, ok := b.Item(f.Item)
		if !ok || g.Verdict == f.Verdict && (!limited[f.Item] || g.Limit == f.Limit) {
			continue
		}
		l := ConcernedLine{Item: it.Title, Stated: stated(f), Was: f.Limit, Now: g.Limit, Verdict: f.Verdict, Would: g.Verdict}
		if l.Was == "" && l.Now == "" {
			l.Was, l.Now = reference(f), reference(g)
		}
		lines = append(lines, l)
	}
	return lines
}

// stated is what stood in a line, with the asked unit where none was typed.
func stated(f marking.Finding) string {
	if last := f.Stated[max(len(f.Stated)-1, 0):]; last >= "0" && last <= "9" {
		return withUnit(f.Stated, f.Unit)
	}
	return f.Stated
}

// reference is what a line was held against, to four figures.
func reference(f marking.Finding) string {
	if f.FromGiven == nil {
		return f.Expected
	}
	return withUnit(quantity.RoundFigures(*f.FromGiven, 4), f.Unit)
}
