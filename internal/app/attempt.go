package app

import (
	"cmp"
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// OwnWork is what a trainee agrees to when handing over.
const OwnWork = "This is my own work. The readings and photos were taken by me, or by the person I name, on the job described here. Where somebody helped me, I have said so."

// MyTasks lists the tasks set to the caller, each with the newest attempt.
func (a *App) MyTasks(ctx context.Context, c account.Caller) ([]store.TraineeTask, error) {
	if err := account.May(c, account.SeeOwnTasks); err != nil {
		return nil, err
	}
	return a.db.TasksOf(ctx, c.Centre, c.Person)
}

// loaded is an attempt with its brief, as it was read for this caller.
type loaded struct {
	store.JobSheet
	ruled
	attempt   portfolio.Attempt
	standings []account.Standing
}

// load reads an attempt that the caller may see, with its brief under the editions of rule sets that hold for it.
func (a *App) load(c account.Caller, j store.JobSheet, err error) (loaded, error) {
	if err != nil {
		return loaded{}, err
	}
	r, err := a.forAttempt(j)
	if err != nil {
		return loaded{}, err
	}
	return seen(c, j, r)
}

// lockWork holds an attempt that the caller may see, with what is needed to take in what its trainee sends: no task, names,
// records, rules or marking (but records where the work is stopped for safety or withdrawn). The brief's text is read where its digest is new to us.
func (a *App) lockWork(ctx context.Context, t *store.Tx, c account.Caller, id uuid.UUID) (loaded, error) {
	j, err := t.LockWork(ctx, id)
	if err == nil && (j.Attempt.State == decision.SafetyStopped || j.Attempt.State == decision.Withdrawn) { // since when tells what still comes in
		j.Records, err = t.Records(ctx, id)
	}
	if err != nil {
		return loaded{}, err
	}
	b, err := a.briefs.brief(j.Brief.Digest, func() (string, error) { return t.BriefSource(ctx, j.Brief.Brief, j.Brief.Version) })
	if err != nil {
		return loaded{}, err
	}
	return seen(c, j, ruled{brief: b})
}

// seen is the attempt where the caller may see it.
func seen(c account.Caller, j store.JobSheet, r ruled) (loaded, error) {
	l := loaded{JobSheet: j, ruled: r, attempt: attemptOf(j, r.brief), standings: standings(c, j.Attempt)}
	if before, ok := decision.Afresh(j.Records); ok && !decision.HadPart(before, c.Person) {
		l.standings = append(l.standings, account.Afresh)
	}
	return l, hide(account.May(c, account.SeeAttempt, l.standings...), "attempt")
}

// attemptOf puts a stored attempt into the words that pages and portfolio share.
func attemptOf(j store.JobSheet, b *brief.Brief) portfolio.Attempt {
	at := portfolio.Attempt{
		ID: j.Attempt.ID, Number: j.Attempt.Number, State: j.Attempt.State, Given: j.Attempt.Given,
		OpenedAt: j.Attempt.OpenedAt, HandedOverAt: j.Attempt.HandedOverAt, Site: j.Attempt.Site, Householder: j.Attempt.Householder, Declaration: j.Attempt.Declaration, Records: j.Records,
	}
	o := orderOf(j, b)
	at.Passed = o.passed
	for _, e := range j.Entries {
		order, of := o.of(e.Item, e.Captured(), e.ReceivedAt)
		at.Entries = append(at.Entries, portfolio.Entry{Entry: e.Entry, Note: e.Note, With: readWith(j, e), By: e.ByName, CapturedAt: e.CapturedAt, ReceivedAt: e.ReceivedAt,
			Order: order, HoldOf: of.Of(), Sealed: j.Seal.Lists(e.ID)})
	}
	for _, i := range j.Instruments {
		at.Instruments = append(at.Instruments, instrumentOf(i))
	}
	for _, e := range j.Evidence {
		at.Evidence = append(at.Evidence, evidenceOf(j, o, e))
	}
	if s := sealOf(j); s != nil {
		at.Seal = &portfolio.Seal{MadeAt: s.MadeAt, ReceivedAt: s.ReceivedAt, Listed: s.Listed, Awaited: s.Awaited}
	}
	if j.Marking != nil {
		at.Marking, at.MarkedAt = &j.Marking.Result, j.Marking.At
	}
	return at
}

// evidenceOf puts a stored file into the same words.
func evidenceOf(j store.JobSheet, o *ordering, e store.Evidence) portfolio.Evidence {
	order, of := o.of(e.Item, e.Captured(), e.ReceivedAt)
	return portfolio.Evidence{
		ID: e.ID, Item: e.Item, Name: e.Name, Caption: e.Caption, MediaType: e.MediaType, Digest: e.Digest, Size: e.Size,
		Width: e.Width, Height: e.Height, Orientation: e.Orientation, TakenAt: e.TakenAt, TakenZoned: e.TakenZoned,
		DeviceAt: e.DeviceAt, ReceivedAt: e.ReceivedAt, Order: order, HoldOf: of.Of(), By: e.ByName, PreviewDigest: e.PreviewDigest,
		BareDigest: e.BareDigest, CoveredDigest: e.CoveredDigest, Covers: len(e.Covers), Private: e.Private, LookedOver: e.LookedOver, Withdrawn: withdrawal(j.Records, e), Card: e.Card,
		Sealed: j.Seal.Lists(e.ID),
	}
}

// Sheet is one attempt as the caller may see it.
func (a *App) Sheet(ctx context.Context, c account.Caller, id uuid.UUID) (Sheet, error) {
	j, err := a.db.JobSheet(ctx, c.Centre, id)
	l, err := a.load(c, j, err)
	if err != nil {
		return Sheet{}, err
	}
	return a.sheet(ctx, c, l)
}

// sheet lays an attempt out for a caller who may see it.
func (a *App) sheet(ctx context.Context, c account.Caller, l loaded) (Sheet, error) {
	j := l.JobSheet
	texts, err := a.criterionTexts(ctx, c.Centre, l.brief, j.Task.SetAt)
	if err != nil {
		return Sheet{}, err
	}
	s := assemble(l.brief, l.attempt, texts)
	s.Card = j.Attempt.Card
	s.Revision, s.Trainee, s.TraineeID = j.Attempt.Revision, j.Trainee.Name, j.Trainee.ID
	s.Cohort, s.CohortID, s.Version = j.Task.CohortName, j.Task.Cohort, j.Brief.Version
	s.SetBy, s.SetAt, s.DueOn, s.SheetSetting = j.Task.SetByName, j.Task.SetAt, dueOn(j), settingOf(c, l)
	s.Seal, s.Held = sealOf(j), heldIn(l)
	for i := range s.Stages {
		if s.Stages[i].Hold != nil {
			s.Stages[i].Hold.Spots = spotsOf(j, s.Stages[i].Key)
		}
	}
	s.Own = j.Attempt.Trainee == c.Person
	s.Record = s.Own && j.Attempt.State == decision.Open
	s.Judge = l.may(c, account.Decide) == nil
	a.deciding(&s, c, l)
	s.MaySetAside = l.maySetAside(c)
	if !s.Own && !s.HandedAt.IsZero() && c.Visit == uuid.Nil {
		if s.Asks, err = a.asks(ctx, c.Centre, l); err != nil {
			return Sheet{}, err
		}
	}
	s.Lacking = l.missing()
	s.Rules, s.Others = rulesOf(l)
	if s.Own && !s.Judge && !closed(s.State) {
		s.withhold()
	} else {
		s.explain(explanations(l.compiled, l))
	}
	for i := range s.Stages {
		for k := range s.Stages[i].Instruments {
			in := &s.Stages[i].Instruments[k]
			w := inHandNow(j, in.Instrument, a.now())
			in.OutOfDate = w.OutOfDate || w.Doubt != ""
			in.Due = cmp.Or(w.Due, in.Due)
		}
		if h := s.Stages[i].Hold; h != nil && h.Release == nil {
			err := a.mayRelease(c, l, &l.brief.Stages[i])
			h.MayRelease = err == nil
			if f, ok := fault.As(err); ok {
				h.WhyNot = f.Message
			}
		}
	}
	if s.Record {
		err = a.choices(ctx, c.Centre, &s)
	}
	return s, err
}

// closed says whether an attempt's decisions are out, so that the trainee may read what the marker found.
func closed(st decision.State) bool {
	switch st {
	case decision.Planned, decision.Open, decision.HandedOver, decision.Checked, decision.Decided, decision.SafetyStopped, decision.Suspended:
		return false
	}
	return true
}

// withhold takes away what a trainee may not read while the tutor is still judging: the findings, which name the checked
// answers, the questions that the tutor asks, and the decisions, which may still change.
func (s *Sheet) withhold() {
	s.Flags, s.Marks, s.Available = nil, 0, 0
	for i := range s.Stages {
		s.Stages[i].Questions = nil
		for j := range s.Stages[i].Items {
			s.Stages[i].Items[j].Diagnosis = nil
			for k := range s.Stages[i].Items[j].Lines {
				l := &s.Stages[i].Items[j].Lines[k]
				l.Finding, l.Override, l.Explained = nil, nil, nil
			}
		}
	}
	for i := range s.Criteria {
		c := &s.Criteria[i]
		c.Blocked = nil
		if c.Decision != nil && !c.Decision.Carried() {
			c.Decision, c.Earlier = nil, nil
		}
	}
	s.Records = withoutJudging(s.Records)
}

// withoutJudging leaves out what a tutor has decided of an attempt so far and may still change. Of a question it leaves only
// that it will be asked, and about what criterion.
func withoutJudging(records []decision.Record) []decision.Record {
	var out []decision.Record
	for i, r := range records {
		switch {
		case r.Kind.Apart(), r.Kind == decision.KindOverride, r.Kind == decision.KindMarkAgain, r.Kind == decision.KindCountersign, r.Kind == decision.KindCriterion && !r.Carried():
			continue
		case r.Kind == decision.KindQuestion:
			if decision.OpenQuestion(records, r.Subject) != &records[i] {
				continue
			}
			r.Words = ""
		}
		out = append(out, r)
	}
	return out
}

// criterionTexts finds the words of every criterion that the brief covers, by "UNIT/code", as the editions had them on the day
// when it was set.
func (a *App) criterionTexts(ctx context.Context, centre int64, b *brief.Brief, set time.Time) (map[string]string, error) {
	texts := map[string]string{}
	for _, ref := range b.Criteria {
		u, err := a.db.UnitOn(ctx, centre, ref.Unit, date(dayOf(set)))
		if fault.KindOf(err) == fault.KindNotFound {
			continue // the brief is older than the unit's going
		} else if err != nil {
			return nil, err
		}
		for _, o := range u.Outcomes {
			for _, cr := range o.Criteria {
				texts[u.Code+"/"+cr.Code] = cr.Text
			}
		}
	}
	return texts, nil
}

// change locks an attempt that the caller sees, asks whether they may do the action, does fn on it and keeps the attempt.
func (a *App) change(ctx context.Context, c account.Caller, id uuid.UUID, act account.Action, fn func(t *store.Tx, l *loaded) error) error {
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		j, err := t.LockJobSheet(ctx, id)
		l, err := a.load(c, j, err)
		if err != nil {
			return err
		}
		if err := l.may(c, act); err != nil {
			return err
		}
		if act != account.Inquire && act != account.SetAside { // which end it
			if err := decision.CheckSuspended(l.Attempt.State); err != nil {
				return err
			}
		}
		if act != account.WithdrawFile && act != account.CoverFile { // which take away what nobody should see
			if err := decision.CheckWithdrawn(l.Attempt.State); err != nil {
				return err
			}
		}
		if err := fn(t, &l); err != nil {
			return err
		}
		_, err = t.SaveAttempt(ctx, l.Attempt)
		return err
	})
}
