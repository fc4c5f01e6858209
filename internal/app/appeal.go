package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Leave says whether the caller may do a thing now, and why not where they see it and may not.
type Leave struct {
	May bool
	Why string // in words; "" where they may
}

func leave(err error) Leave {
	if f, ok := fault.As(err); ok {
		return Leave{Why: f.Message}
	}
	return Leave{May: err == nil}
}

// may says whether the caller may do the action on the attempt. After an appeal was upheld, whoever had part in what was decided
// before judges no more of it.
func (l *loaded) may(c account.Caller, act account.Action) error {
	if err := account.May(c, act, l.standings...); err != nil {
		return err
	}
	if slices.Contains(l.Apart, c.Person) && act != account.SafetyStop {
		return fault.Forbidden("You and this trainee have a conflict of interest on record. Somebody else has to do this.")
	}
	switch act {
	case account.Decide, account.TakeBack, account.Override, account.Question, account.Countersign, account.SignOff, account.AskForMore:
	default:
		return nil
	}
	if decision.Sampled(l.Records, c.Person) {
		return fault.Forbidden("You sampled this attempt, so somebody else judges it.")
	}
	if before, ok := decision.Afresh(l.Records); ok && decision.HadPart(before, c.Person) {
		return fault.Forbidden("An appeal against this attempt was upheld, so somebody who had no part in it before decides it afresh.")
	}
	return nil
}

// Deciding is what stands around the decisions of an attempt, and what the caller may do about it now.
type Deciding struct {
	WhyCountersigned string            // for who may decide: why what they decide now waits for a countersignature; "" where it stands by itself
	Uncountersigned  []decision.Record // the decisions that wait for a countersignature
	Countersign      Leave
	Settle           Leave // hear the trainee's appeal
	Acknowledge      Leave // say that the feedback was read
	Appeal           Leave
	Unregistered     []string       // for whoever judges: questions about the trainee's registration on the day of handing over
	Carry            decision.Carry // what the next attempt would take over, for who may send this one back
}

// deciding fills it in.
func (a *App) deciding(s *Sheet, c account.Caller, l loaded) {
	refs := l.brief.CriterionRefs()
	if !s.Own {
		s.Unregistered = l.unregistered()
	}
	if l.Attempt.State == decision.Checked || l.Attempt.State == decision.Decided {
		s.Uncountersigned = decision.Uncountersigned(refs, l.Records)
		s.Countersign = leave(a.mayCountersign(c, l, s.Uncountersigned))
	}
	if s.Judge && !a.alone(c) && !closed(l.Attempt.State) {
		s.WhyCountersigned = a.WhyAlone(c)
	}
	if s.Judge && l.Attempt.State == decision.Decided {
		s.Carry = decision.CarryOver(l.brief, l.Records)
	}
	if l.Attempt.State == decision.UnderAppeal {
		err := l.may(c, account.SettleAppeal)
		if err == nil {
			err = decision.CheckHearing(l.HadPart(c.Person), decision.Rejected, "heard")
		}
		s.Settle = leave(err)
	}
	if s.Own {
		s.Acknowledge = leave(l.acknowledgeable())
		_, err := decision.Next(l.Attempt.State, decision.EventAppeal)
		if err == nil {
			err = decision.CheckAppeal(l.Records, "heard")
		}
		s.Appeal = leave(err)
	}
}

// Acknowledge records that the trainee has read the feedback on an attempt that was sent back or signed off.
func (a *App) Acknowledge(ctx context.Context, c account.Caller, id uuid.UUID) error {
	return a.judge(ctx, c, id, judged{account.Acknowledge, -1, func(l *loaded) (decision.Record, error) {
		return decision.Record{Kind: decision.KindAcknowledge, Outcome: "read"}, l.acknowledgeable()
	}})
}

// acknowledgeable refuses an attempt without feedback, or whose feedback was read.
func (l *loaded) acknowledgeable() error {
	if l.Attempt.State != decision.MoreToDo && l.Attempt.State != decision.SignedOff {
		return fault.Conflict("This attempt is %s: there is no feedback to read.", l.Attempt.State.Words())
	}
	read := decision.Latest(l.Records, decision.KindAcknowledge, "")
	for _, r := range l.Records {
		if read != nil && (r.Kind == decision.KindMoreToDo || r.Kind == decision.KindSignOff) && r.At.After(read.At) {
			read = nil
		}
	}
	if read != nil {
		return fault.Conflict("You have said before that you read this.")
	}
	return nil
}

// Appeal is the trainee's word that an attempt which was sent back was judged wrongly.
func (a *App) Appeal(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	return a.judge(ctx, c, id, judged{account.Appeal, -1, func(l *loaded) (decision.Record, error) {
		var err error
		if l.Attempt.State, err = decision.Next(l.Attempt.State, decision.EventAppeal); err != nil {
			return decision.Record{}, err
		}
		r := decision.Record{Kind: decision.KindAppeal, Outcome: "appealed", Words: strings.TrimSpace(words)}
		return r, decision.CheckAppeal(l.Records, words)
	}})
}

// SettleAppeal is what somebody who had no part in the decisions found on hearing an appeal: decision.Upheld or
// decision.Rejected, with the reason. Where it is upheld, what was not yet met is open again, and the next attempt is taken away
// unless the trainee has started it.
func (a *App) SettleAppeal(ctx context.Context, c account.Caller, id uuid.UUID, revision int, outcome, words string) error {
	return a.judge(ctx, c, id, judged{account.SettleAppeal, revision, func(l *loaded) (decision.Record, error) {
		event := decision.EventAppealRejected
		if outcome == decision.Upheld {
			event = decision.EventAppealUpheld
		}
		next, err := decision.Next(l.Attempt.State, event)
		if err != nil {
			return decision.Record{}, err
		}
		if err := decision.CheckHearing(l.HadPart(c.Person), outcome, words); err != nil {
			return decision.Record{}, err
		}
		l.Attempt.State = next
		return decision.Record{Kind: decision.KindAppealOutcome, Outcome: outcome, Words: strings.TrimSpace(words)}, nil
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error {
		if outcome != decision.Upheld {
			return nil
		}
		return a.openAgain(ctx, t, c, l)
	})
}

// openAgain takes back what was not yet met, and withdraws the attempt that was planned because of it.
func (a *App) openAgain(ctx context.Context, t *store.Tx, c account.Caller, l *loaded) error {
	for _, ref := range decision.Reopened(l.brief.CriterionRefs(), l.Records) {
		r := decision.Record{Kind: decision.KindCriterion, Subject: ref, Outcome: decision.TakenBack, Words: "The appeal was upheld."}
		if err := a.appendRecord(ctx, t, c, l, account.SettleAppeal, r); err != nil {
			return err
		}
	}
	later, err := t.LaterAttempts(ctx, l.Attempt)
	if err != nil {
		return err
	}
	for _, n := range later {
		if n.State != decision.Planned {
			continue
		}
		if n.State, err = decision.Next(n.State, decision.EventWithdraw); err != nil {
			return err
		}
		if _, err := t.SaveAttempt(ctx, n); err != nil {
			return err
		}
	}
	return nil
}

// SecondLooks is a page of what waits for a second person.
type SecondLooks struct {
	Rows []SecondLook
	All  int // on every page
	Page Page
}

// SecondLooks lists what waits for a second person and is the caller's to look at, the longest wait first: appeals for those who
// may hear them, decisions to be countersigned for quality assurers and for tutors of the cohort, where
// an assessor's award of theirs is in date. Page counts from 1; one after the last is empty.
func (a *App) SecondLooks(ctx context.Context, c account.Caller, page int) (l SecondLooks, err error) {
	if err := account.May(c, account.SettleAppeal); err != nil {
		if err := account.May(c, account.Countersign, account.Teaches); err != nil {
			return l, err
		}
	}
	q := store.SecondAsked{Reader: c.Person, Span: spanOf(page), Appeals: account.As(c, account.SettleAppeal) != ""}
	if a.alone(c) {
		q.Countersign, q.Own = account.As(c, account.Countersign) != "", account.As(c, account.Countersign, account.Teaches) != ""
	}
	l.Rows, l.All, err = a.db.SecondLooks(ctx, c.Centre, q)
	l.Page, _ = pageOf(page, listPage, l.All)
	return l, err
}
