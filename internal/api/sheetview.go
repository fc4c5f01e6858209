package api

import (
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// viewer is how much of the marker's work the caller sees.
type viewer struct {
	findings bool // at all
	full     bool // with references and the sentences for tutors
}

// judgedStates are those in which a trainee reads what was found.
var judgedStates = []decision.State{decision.MoreToDo, decision.UnderAppeal, decision.SignedOff, decision.Cleared, decision.Claimed, decision.Archived}

func viewerOf(s app.Sheet) viewer {
	return viewer{findings: !s.Own || slices.Contains(judgedStates, s.State), full: !s.Own}
}

// sheetOf puts a job sheet into the words of the API.
func sheetOf(s app.Sheet) Sheet {
	v := viewerOf(s)
	out := Sheet{
		ID: s.ID, Number: s.Number, State: s.State, Revision: s.Revision, Trainee: s.TraineeID, TraineeName: s.Trainee,
		Cohort: s.CohortID, CohortName: s.Cohort, BriefKey: s.BriefKey, Title: s.BriefTitle, Version: s.Version,
		SetBy: s.SetBy, SetAt: s.SetAt.UTC(), FromOn: Date{s.FromOn}, DueOn: Date{s.DueOn}, Attempts: s.Attempts, Observer: s.Observer, OpenedAt: s.OpenedAt.UTC(), HandedOverAt: s.HandedAt.UTC(),
		MarkedAt: s.MarkedAt.UTC(), SignedOffAt: s.SignedAt.UTC(), About: s.About, Cautions: each(s.Cautions, same),
		Conventions: each(s.Conventions, same), Site: s.Site, Householder: s.Householder, Card: s.Card, Declaration: s.Declaration, Records: each(s.Records, recordOf),
		Waits: s.WhyCountersigned, Rules: each(s.Rules, ruleEditionOf), Lacking: each(s.Lacking, same),
		Given:    each(s.Given, func(g app.GivenRow) Given { return Given(g) }),
		Missing:  each(s.Missing, func(m app.Missing) Missing { return Missing(m) }),
		Stages:   each(s.Stages, v.stage),
		Criteria: each(s.Criteria, v.criterion),
		Flags:    []Flag{},
		Seal:     maybe(s.Seal, sealOf),
		Held:     each(s.Held, heldOf),
		May:      May{Record: s.Record, Judge: s.Judge},
	}
	if v.findings {
		out.Flags, out.Marks, out.Available = each(s.Flags, flagOf), s.Marks, s.Available
	}
	return out
}

func (v viewer) stage(s app.SheetStage) Stage {
	out := Stage{
		Number: s.Number, Key: s.Key, Title: s.Title, About: s.About, Cautions: each(s.Cautions, same), Items: each(s.Items, v.item),
		Instruments: inHand(s.Instruments), Helped: maybe(s.Helped.Entry, entryOf),
	}
	if v.full {
		out.Questions = each(s.Questions, questionOf)
	}
	if h := s.Hold; h != nil {
		out.HoldPoint = &HoldPoint{
			Show: h.Show, Entitlement: h.Entitlement, Release: maybe(h.Release, recordOf), MayRelease: h.MayRelease, WhyNot: h.WhyNot,
		}
	}
	return out
}

// item leaves out of an item what gives its answer away: what is expected, and how a figure is worked.
func (v viewer) item(it app.SheetItem) Item {
	out := Item{
		Number: it.Number, Key: it.Key, Title: it.Title, About: it.About, Form: it.Form(), Ask: ask(it.Item), Visible: []string{},
		Optional: it.Optional, MustBeSeen: it.MustBeSeen, Safety: it.Safety(), Criteria: each(it.Criteria, same), Done: it.Done,
		Lines: each(it.Lines, v.line), Files: each(it.Files, fileOf),
	}
	if v.findings {
		out.Diagnosis = maybe(it.Diagnosis, v.diagnosis)
	}
	switch {
	case it.Photo != nil:
		out.Visible, out.AtLeast = each(it.Photo.Visible, same), max(it.Photo.AtLeast, 1)
	case it.Document != nil:
		out.AtLeast = 1
	case it.Figure != nil:
		out.Working = it.Figure.Working
	}
	return out
}

// ask says in words what an item asks for, "" where its title says it all.
func ask(it *brief.Item) string {
	switch {
	case it.Reading != nil:
		return it.Reading.Is
	case it.Figure != nil:
		return it.Figure.Ask
	case it.Choice != nil:
		return it.Choice.Ask
	case it.Answer != nil:
		return it.Answer.Ask
	case it.Confirm != nil:
		return it.Confirm.Text
	case it.Document != nil:
		return it.Document.Is
	}
	return ""
}

func (v viewer) line(l app.SheetLine) Line {
	out := Line{
		Part: l.Part, Phase: l.Phase, Label: l.Label, Unit: l.Unit, Options: each(l.Options, same),
		Entry: maybe(l.Entry, entryOf), Earlier: each(l.Earlier, entryOf), Override: maybe(l.Override, recordOf), Check: maybe(l.Check, recordOf),
	}
	if v.findings {
		out.Finding = maybe(l.Finding, v.finding)
	}
	return out
}

func (v viewer) finding(f marking.Finding) Finding {
	out := Finding{
		Verdict: f.Verdict, Code: f.Code, Sentence: f.Trainee, Marks: f.Marks, Available: f.Available, Blocks: f.Blocks, Flags: []Flag{},
	}
	if !v.full {
		return out
	}
	out.Tutor, out.FromGiven, out.FromOwn, out.Converted = f.Tutor, f.FromGiven, f.FromOwn, f.Converted
	out.Expected, out.ExpectedOwn = f.Expected, f.ExpectedOwn
	out.Tolerance, out.Limit, out.Flags = f.Tolerance, f.Limit, each(f.Flags, flagOf)
	if f.Slip != nil {
		out.Slip = f.Slip.Is
	}
	for _, c := range f.Candidates {
		out.Mistakes = append(out.Mistakes, c.Is)
	}
	if f.Measured != nil {
		out.Expanded, out.Keeps = f.Measured.Expanded, f.Measured.Keeps
	}
	return out
}

func flagOf(f marking.Flag) Flag {
	return Flag{Code: f.Code, Text: f.Text, At: maybe(f.At, func(p marking.Place) Passage { return Passage(p) })}
}

func entryOf(e app.LineEntry) Entry {
	out := Entry{Text: e.Text, Unit: e.Unit, Working: e.Working, Note: e.Note, CapturedAt: e.CapturedAt.UTC(), ReceivedAt: e.ReceivedAt.UTC(),
		Sealed: e.Sealed, Order: e.Order, HoldOf: e.HoldOf}
	if e.With.ID != uuid.Nil {
		in := instrumentOf(e.With.Instrument, e.With.OutOfDate)
		out.Instrument = &in
	}
	return out
}

func sealOf(s app.SheetSeal) SheetSeal {
	return SheetSeal{
		SealedAt: s.MadeAt.UTC(), ReceivedAt: s.ReceivedAt.UTC(), Listed: s.Listed, Awaited: s.Awaited, Without: maybe(s.Without, recordOf),
	}
}

func heldOf(h app.HeldThing) Held {
	return Held{
		ID: h.ID, Item: h.Item, Line: h.Line, Text: h.Text, File: maybe(h.File, fileOf), CapturedAt: h.CapturedAt.UTC(), ReceivedAt: h.ReceivedAt.UTC(),
	}
}

func fileOf(f app.SheetFile) File {
	return File{
		ID: f.ID, Name: f.Name, Caption: f.Caption, MediaType: f.MediaType, Size: int(f.Size), Width: f.Width, Height: f.Height,
		SHA256: f.Digest, TakenAt: f.TakenAt.UTC(), DeviceAt: f.DeviceAt.UTC(), ReceivedAt: f.ReceivedAt.UTC(),
		Order: f.Order, HoldOf: f.HoldOf, Preview: f.Preview, Sealed: f.Sealed,
		Covers: f.Covers, Unlooked: f.Unlooked, Copy: f.Copy, Withdrawn: f.Withdrawn != nil, Card: f.Card,
	}
}

// criterion leaves out what blocks it where the caller does not see the marker's sentences: they stand in there.
func (v viewer) criterion(c app.SheetCriterion) SheetCriterion {
	out := SheetCriterion{
		Criterion: c.Ref, Text: c.Text, Items: each(c.Items, same), Blocked: []string{},
		Decision: maybe(c.Decision, recordOf), Earlier: each(c.Earlier, recordOf),
	}
	if v.full {
		out.Blocked = each(c.Blocked, same)
	}
	return out
}

func recordOf(r decision.Record) Record {
	return Record{
		ID: r.ID, Kind: r.Kind, Subject: r.Subject, Outcome: r.Outcome, Reason: r.Reason, Words: r.Words, Value: r.Value,
		Evidence: each(r.Evidence, same), By: r.By, ByName: r.ByName, Role: r.Role, At: r.At.UTC(), Supersedes: r.Supersedes,
	}
}

// maybe puts what is there into other words.
func maybe[S, T any](x *S, fn func(S) T) *T {
	if x == nil {
		return nil
	}
	y := fn(*x)
	return &y
}
