package app

import (
	"context"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// Limits on what is typed, in characters.
const (
	textMost    = 4000
	workingMost = 16_000 // forty lines of four hundred
	entriesMost = 500    // lines sent at once
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
// records, rules or marking (but records where the work is stopped for safety). The brief's text is read where its digest is new to us.
func (a *App) lockWork(ctx context.Context, t *store.Tx, c account.Caller, id uuid.UUID) (loaded, error) {
	j, err := t.LockWork(ctx, id)
	if err == nil && j.Attempt.State == decision.SafetyStopped { // since when tells what still comes in
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
	for _, e := range j.Entries {
		at.Entries = append(at.Entries, portfolio.Entry{Entry: e.Entry, Note: e.Note, With: readWith(j, e), By: e.ByName, CapturedAt: e.CapturedAt, ReceivedAt: e.ReceivedAt,
			Order: order(j, b, e.Item, e.Captured(), e.ReceivedAt), Sealed: j.Seal.Lists(e.ID)})
	}
	for _, i := range j.Instruments {
		at.Instruments = append(at.Instruments, instrumentOf(i))
	}
	for _, e := range j.Evidence {
		at.Evidence = append(at.Evidence, evidenceOf(j, b, e))
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
func evidenceOf(j store.JobSheet, b *brief.Brief, e store.Evidence) portfolio.Evidence {
	return portfolio.Evidence{
		ID: e.ID, Item: e.Item, Name: e.Name, Caption: e.Caption, MediaType: e.MediaType, Digest: e.Digest, Size: e.Size,
		Width: e.Width, Height: e.Height, Orientation: e.Orientation, TakenAt: e.TakenAt, TakenZoned: e.TakenZoned,
		DeviceAt: e.DeviceAt, ReceivedAt: e.ReceivedAt, Order: order(j, b, e.Item, e.Captured(), e.ReceivedAt), By: e.ByName, PreviewDigest: e.PreviewDigest,
		CoveredDigest: e.CoveredDigest, Covers: len(e.Covers), Withdrawn: withdrawal(j.Records, e), Card: e.Card,
		Sealed: j.Seal.Lists(e.ID),
	}
}

// order puts something captured for an item and the release of its stage's hold point in their order; "" without a hold point,
// and for what was carried over, whose order was looked at where it was judged.
func order(j store.JobSheet, b *brief.Brief, item string, captured decision.Moment, received time.Time) decision.Order {
	_, st, ok := b.Item(item)
	opened := j.Attempt.OpenedAt
	carried := j.Attempt.CarriedFrom != uuid.Nil && (opened.IsZero() || received.Before(opened))
	if !ok || st.Hold == nil || carried {
		return ""
	}
	return decision.OrderOf(captured, received, decision.ReleasedAt(decision.Latest(j.Records, decision.KindHoldRelease, st.Key)))
}

// Sheet is one attempt as the caller may see it.
func (a *App) Sheet(ctx context.Context, c account.Caller, id uuid.UUID) (Sheet, error) {
	j, err := a.db.JobSheet(ctx, c.Centre, id)
	l, err := a.load(c, j, err)
	if err != nil {
		return Sheet{}, err
	}
	texts, err := a.criterionTexts(ctx, c.Centre, l.brief)
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
	if !s.Own && !s.HandedAt.IsZero() {
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
			in.OutOfDate = in.Instrument.OutOfDate(a.today())
		}
		if h := s.Stages[i].Hold; h != nil && h.Release == nil {
			err := a.mayRelease(c, l, &l.brief.Stages[i])
			h.MayRelease = err == nil
			if f, ok := fault.As(err); ok {
				h.WhyNot = f.Message
			}
		}
	}
	return s, nil
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

// criterionTexts finds the words of every criterion that the brief covers, by "UNIT/code".
func (a *App) criterionTexts(ctx context.Context, centre int64, b *brief.Brief) (map[string]string, error) {
	texts := map[string]string{}
	for _, ref := range b.Criteria {
		u, err := a.db.Unit(ctx, centre, ref.Unit)
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
		if err := fn(t, &l); err != nil {
			return err
		}
		_, err = t.SaveAttempt(ctx, l.Attempt)
		return err
	})
}

// NewEntry is one line as it was typed.
type NewEntry struct {
	ID uuid.UUID // made where it was typed; the same again has no effect
	marking.Entry
	Note       string
	Instrument uuid.UUID // read with; zero where none was named
	CapturedAt time.Time // on the phone; zero where unknown
	PhoneClock
}

// RecordEntries keeps what was typed. It takes any value as it stands, right or wrong; only a place that the brief does
// not have is refused.
func (a *App) RecordEntries(ctx context.Context, c account.Caller, id uuid.UUID, entries []NewEntry) error {
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		l, err := a.lockWork(ctx, t, c, id)
		if err != nil {
			return err
		}
		if err := account.May(c, account.Record, l.standings...); err != nil {
			return err
		}
		if kept, err := keptBefore(l, entries); err != nil || kept {
			return err
		}
		rows, err := a.entryRows(c, l, entries)
		if err != nil {
			return err
		}
		if _, err = t.AddEntries(ctx, id, rows); err != nil {
			return err
		}
		ids := make([]uuid.UUID, len(rows))
		for i, r := range rows {
			ids[i] = r.ID
		}
		return a.arrived(ctx, t, l, ids...)
	})
}

// entryRows checks that the caller may type now, and that every entry has its place.
func (a *App) entryRows(c account.Caller, l loaded, entries []NewEntry) ([]store.Entry, error) {
	if err := account.May(c, account.Record, l.standings...); err != nil {
		return nil, err
	}
	if len(entries) > entriesMost {
		return nil, fault.Invalid("entries", "That is more than %d lines at once. Send them in parts.", entriesMost)
	}
	rows := make([]store.Entry, 0, len(entries))
	for _, e := range entries {
		if err := l.admits(e.ID, decision.SealEntry, decision.EntryDigest(e.Entry), e.moment(e.CapturedAt, a.now())); err != nil {
			return nil, err
		}
		if err := checkEntry(l.brief, e); err != nil {
			return nil, err
		}
		rows = append(rows, store.Entry{
			ID: e.ID, Attempt: l.Attempt.ID, Entry: e.Entry, Note: e.Note, CapturedAt: e.CapturedAt, ReceivedAt: a.now(), By: c.Person,
			Instrument: e.Instrument, Clock: e.clock(a.now()),
		})
	}
	return rows, nil
}

// mustBeOpen is Conflict where nothing can be added to the attempt any more, or not yet.
func mustBeOpen(at store.Attempt) error {
	if at.State == decision.Open {
		return nil
	}
	return fault.Conflict("This attempt is %s, so nothing can be added to it.", at.State.Words())
}

// checkEntry refuses an entry that has no place in the brief or cannot be kept.
func checkEntry(b *brief.Brief, e NewEntry) error {
	title, err := placeOf(b, e.Entry)
	switch {
	case err != nil:
		return err
	case e.ID == uuid.Nil:
		return fault.Invalid("id", "Every line needs an id of its own.")
	case utf8.RuneCountInString(e.Text) > textMost || utf8.RuneCountInString(e.Note) > textMost || len(e.Unit) > 64:
		return fault.Invalid("text", "%s: that is longer than %d characters. Shorten it, or add it as a document.", title, textMost)
	case utf8.RuneCountInString(e.Working) > workingMost:
		return fault.Invalid("working", "%s: the working is longer than %d characters. Shorten it, or add it as a photo.", title, workingMost)
	}
	for _, s := range []string{e.Text, e.Unit, e.Working, e.Note} {
		if strings.ContainsFunc(s, unkept) {
			return fault.Invalid("text", "%s holds characters that cannot be kept. Type it again.", title)
		}
	}
	return nil
}

// placeOf names what an entry is for: an item of the brief, or the line of a stage in which the trainee says who helped.
func placeOf(b *brief.Brief, e marking.Entry) (title string, err error) {
	if stage, ok := decision.HelpAt(e.Item); ok {
		if !slices.ContainsFunc(b.Stages, func(st brief.Stage) bool { return st.Key == stage }) || e.Part != "" || e.Phase != "" || e.Unit != "" || e.Working != "" {
			return "", fault.Invalid("item", "The brief has no stage %q to say that of.", stage)
		}
		return "Who helped", nil
	}
	it, _, ok := b.Item(e.Item)
	if !ok {
		return "", fault.Invalid("item", "The brief has no item %q.", e.Item)
	}
	if !slices.ContainsFunc(it.Slots(), func(s brief.Slot) bool { return s.Part == e.Part && s.Phase == e.Phase }) {
		return "", fault.Invalid("part", "%s has no place for that.", it.Title)
	}
	return it.Title, nil
}
