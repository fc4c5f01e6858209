package app

import (
	"context"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Adjust records what is agreed with one trainee beforehand. Extra time moves the day by which this attempt is due.
func (a *App) Adjust(ctx context.Context, c account.Caller, id uuid.UUID, adj decision.Adjustment) error {
	return a.judge(ctx, c, id, judged{account.Adjust, -1, func(l *loaded) (decision.Record, error) {
		switch l.Attempt.State {
		case decision.Planned, decision.Open, decision.SafetyStopped:
		default:
			return decision.Record{}, fault.Conflict("This attempt is %s: an adjustment is agreed before the work is handed over.", l.Attempt.State.Words())
		}
		r, err := adj.Record(l.brief, dueOn(l.JobSheet), a.today())
		if err == nil && adj.What == decision.ExtraTime {
			l.Attempt.DueOn = adj.Until
		}
		return r, err
	}})
}

// dueOn is the day by which an attempt is due: its own, else the task's; zero for none.
func dueOn(j store.JobSheet) time.Time {
	if j.Attempt.DueOn.IsZero() {
		return j.Task.DueOn
	}
	return j.Attempt.DueOn
}

// GrantAttempt plans one attempt more than were set, after the last was sent back: the tutor says why, and by when (a date;
// zero for the day that was said as it was sent back, unless that is past).
func (a *App) GrantAttempt(ctx context.Context, c account.Caller, id uuid.UUID, words string, by time.Time) error {
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, id, judged{account.Adjust, -1, func(l *loaded) (decision.Record, error) {
		switch {
		case l.Attempt.State != decision.MoreToDo:
			return decision.Record{}, fault.Conflict("This attempt is %s: one more is granted after an attempt was sent back.", l.Attempt.State.Words())
		case !noneLeft(l):
			return decision.Record{}, fault.Conflict("The next attempt is there already.")
		case words == "":
			return decision.Record{}, fault.Invalid("words", "Say why one more is granted.")
		case !by.IsZero() && dayText(by) < a.today():
			return decision.Record{}, fault.Invalid("by", "That day is past. Choose a later one.")
		}
		if sent := decision.Latest(l.Records, decision.KindMoreToDo, ""); by.IsZero() && sent != nil && sent.Value >= string(a.today()) {
			by = date(brief.Day(sent.Value))
		}
		return decision.Record{Kind: decision.KindOneMore, Outcome: "granted", Words: words, Value: string(dayText(by))}, nil
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error { return a.planNext(ctx, t, c, l, by) })
}

// noneLeft says whether the task gives no attempt after this one, and no tutor has granted one more.
func noneLeft(l *loaded) bool {
	return l.Task.Attempts > 0 && l.Attempt.Number >= l.Task.Attempts && decision.Latest(l.Records, decision.KindOneMore, "") == nil
}

// carryAdjustments has another way to show something hold for the next attempt too.
func (a *App) carryAdjustments(ctx context.Context, t *store.Tx, l *loaded, n store.NewAttempt) error {
	for i, r := range l.Records {
		if r.Kind != decision.KindAdjustment || r.Subject == "" || decision.Latest(l.Records, r.Kind, r.Subject) != &l.Records[i] {
			continue
		}
		id, err := newID()
		if err != nil {
			return err
		}
		r.ID, r.Attempt, r.Supersedes = id, n.ID, uuid.Nil
		if err := t.AppendRecord(ctx, r); err != nil {
			return err
		}
	}
	return nil
}

// SheetSetting is how an attempt was set, beside its days.
type SheetSetting struct {
	FromOn     time.Time         // zero for at once
	Attempts   int               // how many the trainee has; 0 for as many as it takes
	Observer   string            // who watches the work; "" for any tutor of the cohort
	InsteadOf  string            // the observer's name where that is somebody else than the caller, who then says why they note, check or ask; "" else
	Adjusted   []decision.Record // what was agreed for this trainee, the first first
	OneMore    *decision.Record  // one more attempt was granted after this one; nil where none was
	MayGrant   bool              // the caller may grant it
	MayAdjust  bool              // the caller may agree adjustments now
	MayObserve bool              // the caller may note what they see, and what they asked, now
}

// settingOf lays out how an attempt was set.
func settingOf(c account.Caller, l loaded) SheetSetting {
	s := SheetSetting{FromOn: l.Task.FromOn, Attempts: l.Task.Attempts, Observer: l.Task.ObserverName, InsteadOf: insteadOf(c, &l)}
	for i, r := range l.Records {
		if r.Kind == decision.KindAdjustment && decision.Latest(l.Records, r.Kind, r.Subject) == &l.Records[i] {
			s.Adjusted = append(s.Adjusted, r)
		}
	}
	s.OneMore = decision.Latest(l.Records, decision.KindOneMore, "")
	may := account.May(c, account.Adjust, l.standings...) == nil
	s.MayGrant = may && l.Attempt.State == decision.MoreToDo && noneLeft(&l)
	s.MayAdjust = may && (l.Attempt.State == decision.Planned || l.Attempt.State == decision.Open || l.Attempt.State == decision.SafetyStopped)
	s.MayObserve = mustBeWatched(l.Attempt) == nil && account.May(c, account.Observe, l.standings...) == nil
	return s
}
