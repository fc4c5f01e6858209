package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// mayRelease says whether the caller may release the hold point before a stage now.
func (a *App) mayRelease(c account.Caller, l loaded, st *brief.Stage) error {
	if err := account.May(c, account.ReleaseHold, l.standings...); err != nil {
		return err
	}
	return decision.CheckRelease(st.Hold, registered(c, st.Hold, a.today()), a.unproved(l, st.Hold))
}

// registered says whether a person holds, in date on a day, the registration or approval that a hold point calls for.
func registered(c account.Caller, h *brief.Hold, on brief.Day) bool {
	return h.Entitlement == "" || c.Registered(h.Entitlement, date(on))
}

// unproved says, in sentences, which of the items that a hold point needs are not right yet. The marker runs on what is
// there now; follow-through does not count, since what is fitted or set must fit the true value.
func (a *App) unproved(l loaded, h *brief.Hold) []string {
	if len(h.Needs) == 0 {
		return nil
	}
	if l.compiled == nil { // then nobody can tell
		return l.missing()
	}
	result := marking.Mark(l.compiled, sheetOf(l))
	var why []string
	for _, f := range result.Findings {
		right := f.Verdict == marking.Correct || f.Verdict == marking.WithinLimit || f.Verdict == marking.Recorded
		if !slices.Contains(h.Needs, f.Item) || right && !f.Blocks {
			continue
		}
		if it, _, ok := l.brief.Item(f.Item); ok {
			why = append(why, fmt.Sprintf("%s: %s", titleOf(it, f), f.Tutor))
		}
	}
	return why
}

// sheetOf is what the marker looks at: of each line the last entry.
func sheetOf(l loaded) marking.Sheet {
	s := marking.Sheet{Given: l.Attempt.Given}
	for _, e := range l.Latest() {
		if e.Text != "" || e.Working != "" {
			e.Entry.At = onClock(e.CapturedAt)
			s.Entries = append(s.Entries, e.Entry)
		}
	}
	for i, r := range l.Records {
		if r.Kind != decision.KindCheckReading || decision.Latest(l.Records, r.Kind, r.Subject) != &l.Records[i] {
			continue
		}
		item, phase, _ := strings.Cut(r.Subject, "@")
		s.Checks = append(s.Checks, marking.CheckReading{Item: item, Phase: brief.Phase(phase), Text: r.Value, Seen: r.Value == ""})
	}
	return s
}

// judged is a judging action: it appends one record to a locked attempt.
type judged struct {
	action   account.Action
	revision int // that the caller saw; -1 where it does not matter
	make     func(l *loaded) (decision.Record, error)
}

// judge locks the attempt, makes the record and appends it, then does what follows from it, all in one transaction. The
// revision rises, so that a page opened before is stale.
func (a *App) judge(ctx context.Context, c account.Caller, id uuid.UUID, j judged, then ...func(context.Context, *store.Tx, *loaded) error) error {
	return a.change(ctx, c, id, j.action, func(t *store.Tx, l *loaded) error {
		if j.revision >= 0 {
			if err := l.Attempt.Expect(j.revision); err != nil {
				return err
			}
		}
		r, err := j.make(l)
		if err != nil {
			return err
		}
		if err := a.appendRecord(ctx, t, c, l, j.action, r); err != nil {
			return err
		}
		for _, f := range then {
			if err := f(ctx, t, l); err != nil {
				return err
			}
		}
		return nil
	})
}

// appendRecord completes a record of a locked attempt with who, in which role, and when, and appends it.
func (a *App) appendRecord(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, action account.Action, r decision.Record) (err error) {
	if r.ID, err = newID(); err != nil {
		return err
	}
	r.Centre, r.Attempt, r.By, r.ByName, r.At = c.Centre, l.Attempt.ID, c.Person, c.Name, a.now().Truncate(time.Microsecond)
	if r.Role == "" {
		r.Role = string(account.As(c, action, l.standings...))
	}
	r.Supersedes = decision.Superseded(l.Records, r.Kind, r.Subject)
	l.Records = append(l.Records, r)
	return t.AppendRecord(ctx, r)
}

// ReleaseHold releases the hold point before a stage: the caller has seen what it asks for.
func (a *App) ReleaseHold(ctx context.Context, c account.Caller, id uuid.UUID, stage, words string) error {
	return a.judge(ctx, c, id, judged{account.ReleaseHold, -1, func(l *loaded) (decision.Record, error) {
		i := slices.IndexFunc(l.brief.Stages, func(s brief.Stage) bool { return s.Key == stage })
		if i < 0 || l.brief.Stages[i].Hold == nil {
			return decision.Record{}, fault.NotFound("This brief has no hold point there.")
		}
		if l.Attempt.State != decision.Open {
			return decision.Record{}, fault.Conflict("This attempt is %s: there is nothing to release.", l.Attempt.State.Words())
		}
		if r := decision.Latest(l.Records, decision.KindHoldRelease, stage); r != nil {
			return decision.Record{}, fault.Conflict("%s has already released this hold point.", r.ByName)
		}
		if err := a.mayRelease(c, *l, &l.brief.Stages[i]); err != nil {
			return decision.Record{}, err
		}
		return decision.Record{Kind: decision.KindHoldRelease, Subject: stage, Outcome: "released", Words: words}, nil
	}})
}

// Decide judges one criterion. Revision is the one that the caller's page shows.
func (a *App) Decide(ctx context.Context, c account.Caller, id uuid.UUID, revision int, j decision.Judgement) error {
	j.Words = strings.TrimSpace(j.Words)
	return a.judge(ctx, c, id, judged{account.Decide, -1, func(l *loaded) (decision.Record, error) {
		if err := l.expect(revision, j.Criterion); err != nil {
			return decision.Record{}, err
		}
		if err := decision.CheckJudgement(l.brief, j, standing(l.brief, l.attempt).Blocked(j.Criterion)); err != nil {
			return decision.Record{}, err
		}
		r := decision.Record{
			Kind: decision.KindCriterion, Subject: j.Criterion, Outcome: string(j.Outcome), Reason: j.Reason, Words: j.Words, Evidence: j.Evidence,
		}
		if !a.alone(c) {
			if r.Role = decision.RoleCountersigned; account.As(c, account.Decide, l.standings...) != account.Tutor {
				return decision.Record{}, fault.Forbidden("What is decided afresh after an appeal waits for nobody, and no assessor’s award of yours is in date today. Somebody who holds one decides.")
			}
		}
		event := decision.EventDecide
		if all, _ := decision.AllDecided(l.brief, append(slices.Clone(l.Records), r)); all {
			event = decision.EventDecideAll
		}
		var err error
		l.Attempt.State, err = decision.Next(l.Attempt.State, event)
		return r, err
	}})
}

// Override puts a verdict in place of the marker's, with a reason.
type Override struct {
	Item    string
	Part    string
	Phase   brief.Phase
	Verdict marking.Verdict
	Words   string
}

// Override records the override; the marker's own result stays as it is.
func (a *App) Override(ctx context.Context, c account.Caller, id uuid.UUID, revision int, o Override) error {
	return a.judge(ctx, c, id, judged{account.Override, revision, func(l *loaded) (decision.Record, error) {
		if l.Attempt.State != decision.Checked && l.Attempt.State != decision.Decided {
			return decision.Record{}, fault.Conflict("This attempt is %s: there is no finding to override.", l.Attempt.State.Words())
		}
		line, ok := findingLine(l.attempt.Marking, o)
		switch {
		case !ok:
			return decision.Record{}, fault.NotFound("The marker has no finding there.")
		case o.Verdict != marking.Correct && o.Verdict != marking.Wrong:
			return decision.Record{}, fault.Invalid("verdict", "Say whether you accept it or not.")
		case strings.TrimSpace(o.Words) == "":
			return decision.Record{}, fault.Invalid("words", "Say why, so that whoever reads this later can follow you.")
		}
		return decision.Record{
			Kind: decision.KindOverride, Subject: line, Outcome: string(o.Verdict), Words: strings.TrimSpace(o.Words),
		}, nil
	}})
}

// findingLine names the line of the finding that is overridden. The marker has one finding on a reading's repeats, or on a
// sequence's steps, together: whichever of them is named, that one is meant.
func findingLine(r *marking.Result, o Override) (line string, ok bool) {
	if r == nil {
		return "", false
	}
	for _, f := range r.Findings {
		if f.Item == o.Item && f.Phase == o.Phase && (f.Part == o.Part || f.Part == "") {
			return decision.Line(f.Item, f.Part, string(f.Phase)), true
		}
	}
	return "", false
}

// remark has the marker look at an attempt again, where it has looked before.
func (a *App) remark(ctx context.Context, t *store.Tx, l *loaded) error {
	if l.Attempt.State == decision.Checked || l.Attempt.State == decision.Decided {
		return t.EnqueueMark(ctx, l.Attempt.ID)
	}
	return nil
}
