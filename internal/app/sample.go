package app

import (
	"context"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// ClearAtOnce is how many attempts one press clears: as many as a request may take its time for.
const ClearAtOnce = 500

// SampleSheet is a sample with a page of what was drawn, and with what the caller may do about it.
type SampleSheet struct {
	WholeSample
	Page      Page
	Shows     string // what it shows so far, or in the end
	Clearable int    // attempts that can be cleared for claim; those that the caller had part in among them
	May       bool   // say outcomes, end it, clear
}

// Sample reads one sample. Page counts from 1; one after the last has nothing that was drawn.
func (a *App) Sample(ctx context.Context, c account.Caller, id uuid.UUID, page int) (SampleSheet, error) {
	if err := account.May(c, account.SeeSampling); err != nil {
		return SampleSheet{}, err
	}
	w, err := a.db.Sample(ctx, c.Centre, id, c.Person, spanOf(page))
	if err != nil {
		return SampleSheet{}, err
	}
	s := SampleSheet{WholeSample: w, May: account.As(c, account.SaySample) != "", Shows: w.Words}
	s.Page, _ = pageOf(page, listPage, w.Size)
	if w.Looked > 0 {
		s.Shows = sampling.After(w.Listed, w.Looked, w.Found)
	}
	for _, x := range w.Strata {
		if w.Stage == Final && x.Clear() {
			s.Clearable += x.Signed
		}
	}
	return s, nil
}

// DrawnAgain is a sample drawn again from what was kept of it.
type DrawnAgain struct {
	SampleDrawn
	List  []byte // as it was drawn from
	Same  bool   // list and draw are what they were
	Drawn []uuid.UUID
}

// DrawAgain draws a sample again from its list and its seed, and says whether it comes to the same.
func (a *App) DrawAgain(ctx context.Context, c account.Caller, id uuid.UUID) (DrawnAgain, error) {
	if err := account.May(c, account.SeeSampling); err != nil {
		return DrawnAgain{}, err
	}
	w, err := a.db.Sample(ctx, c.Centre, id, c.Person, store.Span{})
	if err != nil {
		return DrawnAgain{}, err
	}
	items, drawn, err := a.db.SampleList(ctx, c.Centre, id)
	if err != nil {
		return DrawnAgain{}, err
	}
	l, err := sampling.NewList(items)
	if err != nil {
		return DrawnAgain{}, err
	}
	d := DrawnAgain{SampleDrawn: w.Sample, List: l.Bytes()}
	for _, i := range l.Draw(w.Size, w.Seed, w.Digest) {
		d.Drawn = append(d.Drawn, l.Items()[i].Attempt)
	}
	d.Same = l.Digest() == w.Digest && slices.Equal(d.Drawn, drawn)
	return d, nil
}

// SampledAttempt is a drawn attempt in front of a sampler.
type SampledAttempt struct {
	Sample   SampleDrawn
	Drawn    Drawn
	Criteria []SampledCriterion // in the brief's order
	Say      Leave
	Owners   []Member // of the cohort's tutors: who an action may be for
	Waits    bool     // the sampler disagreed, and the tutor has yet to decide some of it afresh
}

// SampledCriterion is the decision that stands on a criterion; nil where there is none.
type SampledCriterion struct {
	Ref, Text string
	Decision  *decision.Record
}

// SampledAttempt reads what a sampler looks at: the decisions that stand, who took them, with what reason and on which evidence. The
// sheet itself is the attempt's.
func (a *App) SampledAttempt(ctx context.Context, c account.Caller, sample, attempt uuid.UUID) (SampledAttempt, error) {
	if err := account.May(c, account.SeeSampling); err != nil {
		return SampledAttempt{}, err
	}
	s, drawn, err := a.db.Drawn(ctx, c.Centre, sample, attempt, c.Person)
	if err != nil {
		return SampledAttempt{}, err
	}
	j, err := a.db.JobSheet(ctx, c.Centre, attempt)
	l, err := a.load(c, j, err)
	if err != nil {
		return SampledAttempt{}, err
	}
	texts, err := a.criterionTexts(ctx, c.Centre, l.brief, l.Task.SetAt)
	if err != nil {
		return SampledAttempt{}, err
	}
	at := SampledAttempt{Sample: s, Drawn: drawn, Waits: decision.Returned(l.Records).From(sample)}
	for _, ref := range l.brief.CriterionRefs() {
		at.Criteria = append(at.Criteria, SampledCriterion{ref, texts[ref], decision.Judged(l.Records, ref)})
	}
	at.Say = leave(l.mayOutcome(c))
	if !s.SettledAt.IsZero() {
		at.Say = Leave{Why: "This sample is settled."}
	}
	_, at.Owners, err = a.db.Cohort(ctx, c.Centre, l.Attempt.Cohort)
	at.Owners = slices.DeleteFunc(at.Owners, func(m Member) bool { return m.Part != store.PartTutor || m.Person == c.Person })
	return at, err
}

// mayOutcome says whether the caller may say an outcome of the attempt.
func (l *loaded) mayOutcome(c account.Caller) error {
	if err := l.may(c, account.SaySample); err != nil {
		return err
	}
	return decision.CheckSampler(l.Attempt.Trainee == c.Person || l.HadPart(c.Person))
}

// SayOutcome is what a sampler found of a drawn attempt.
type SayOutcome struct {
	Outcome  decision.SampleOutcome
	Words    string
	Criteria []string // "UNIT/code", that a disagreement is about
	// Of the action, where there is one: AgreeWithAction needs it, Disagree may have it.
	Action string
	Owner  uuid.UUID
	Due    time.Time // a date
}

// SayOutcome keeps an outcome of sampling; revision is the one that the caller's page shows. Where the sampler disagrees the attempt goes
// back to the tutor, who decides afresh: nothing of the tutor's is changed.
func (a *App) SayOutcome(ctx context.Context, c account.Caller, sample, attempt uuid.UUID, revision int, o SayOutcome) error {
	if err := account.May(c, account.SaySample); err != nil {
		return err
	}
	words, err := sayable("words", o.Words, "")
	if err != nil {
		return err
	}
	var said decision.Record
	return a.judge(ctx, c, attempt, judged{account.SaySample, revision, func(l *loaded) (decision.Record, error) {
		if err := l.mayOutcome(c); err != nil {
			return decision.Record{}, err
		}
		var err error
		said, l.Attempt.State, err = decision.Sampling(l.Attempt.State, o.Outcome, sample, words, o.Criteria, l.brief.CriterionRefs())
		if err == nil && l.Attempt.State == decision.Checked {
			l.Attempt.SignedOffAt = time.Time{}
		}
		return said, err
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error {
		if err := t.AddSampleOutcome(ctx, sample, l.Records[len(l.Records)-1]); err != nil {
			return err
		}
		return a.sampleAction(ctx, t, c, l, sample, o)
	})
}

// sampleAction keeps the action that comes with an outcome. Its owner is a tutor of the attempt's cohort.
func (a *App) sampleAction(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, sample uuid.UUID, o SayOutcome) error {
	if o.Outcome == decision.Agree || o.Outcome == decision.Disagree && strings.TrimSpace(o.Action) == "" {
		return nil
	}
	if !slices.Contains(l.Attempt.Tutors, o.Owner) {
		return fault.Invalid("owner", "Choose a tutor of the cohort to do it.")
	}
	return a.addAction(ctx, t, c, store.Action{Source: store.ActionFromSample, SourceID: sample, Attempt: l.Attempt.ID, Words: o.Action, Owner: o.Owner, Due: o.Due})
}

// EndSample settles a sample before all of it was looked at. What was not looked at can be drawn again.
func (a *App) EndSample(ctx context.Context, c account.Caller, id uuid.UUID) error {
	if err := account.May(c, account.DrawSample); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if _, err := t.LockSample(ctx, id); err != nil {
			return err
		}
		return t.EndSample(ctx, id, a.now())
	})
}

// ClearedForClaim is what one press cleared.
type ClearedForClaim struct {
	Cleared int
	Left    int      // that the caller may clear after these
	Apart   []string // the trainees, by name, whose work is left for somebody else because of the caller's conflict of interest
}

// ClearForClaim clears what a final sample found in order: the attempts of every stratum of which all that was drawn was looked at and
// nothing disagreed with, as they were when it was drawn. Those that the caller had part in are left for somebody else, and so are those
// where they have a conflict of interest. It clears at most ClearAtOnce.
func (a *App) ClearForClaim(ctx context.Context, c account.Caller, sample uuid.UUID) (done ClearedForClaim, err error) {
	if err := account.May(c, account.ClearClaim); err != nil {
		return done, err
	}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		m, err := t.LockSample(ctx, sample)
		if err != nil {
			return err
		}
		if m.Stage != Final {
			return fault.Conflict("This sample was drawn from work that was still being judged: it clears nothing for a claim.")
		}
		k, err := t.LockClearable(ctx, sample, c.Person, ClearAtOnce)
		if err != nil {
			return err
		}
		done = ClearedForClaim{len(k.Attempts), k.All - len(k.Attempts), k.Apart}
		switch {
		case done.Cleared == 0 && len(k.Apart) > 0:
			return fault.Forbidden("You have a conflict of interest with the trainee, or with who judged the work, of all that is left: %s. Somebody else clears it.", strings.Join(k.Apart, ", "))
		case done.Cleared == 0:
			return fault.Conflict("There is nothing here for you to clear: its strata have attempts that nobody looked at, a disagreement, or your own part in them.")
		}
		records, err := a.moving(c, account.ClearClaim, k.Attempts, decision.Record{Kind: decision.KindClear, Outcome: "cleared", Value: sample.String()})
		if err != nil {
			return err
		}
		return t.MoveAttempts(ctx, decision.Cleared, records)
	})
	return done, err
}

// moving is one record for each attempt, with the same words.
func (a *App) moving(c account.Caller, act account.Action, ids []uuid.UUID, r decision.Record) ([]decision.Record, error) {
	r.Centre, r.By, r.ByName, r.Role, r.At = c.Centre, c.Person, c.Name, string(account.As(c, act)), a.now().Truncate(time.Microsecond)
	records := make([]decision.Record, len(ids))
	for i, id := range ids {
		var err error
		if r.ID, err = newID(); err != nil {
			return nil, err
		}
		r.Attempt = id
		records[i] = r
	}
	return records, nil
}
