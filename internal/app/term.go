package app

import (
	"context"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// Term is a cohort over a term: a row a trainee.
type Term struct {
	Cohort uuid.UUID
	Name   string
	Tutors []store.Member
	Tasks  []TermTask // in the order in which they were set
	Rows   []TermRow  // by name
	Left   []TermRow  // trainees who were withdrawn, by name; no task counts them
}

// TermTask is one task of the term, with how many stand where.
type TermTask struct {
	store.TermTask
	Number                              int // from 1, as the rows name it
	SignedOff, Waiting, Under, Sent, No int
	Late                                int // not handed over, and the date is past
}

// TermRow is how one trainee stands, the tasks by their numbers.
type TermRow struct {
	Trainee uuid.UUID
	Name    string
	LeftOn  time.Time // a date: the last day of somebody who was withdrawn; zero for everybody else
	// SignedOff, Waiting for a tutor, Sent back with more to do, Under way, Late (not handed over, and the date is past), and
	// Not started; Late ones are in none of the others.
	SignedOff, Waiting, Sent, Under, Late, Not []TermPlace
}

// TermPlace is one attempt in a row.
type TermPlace struct {
	Task    int // its number
	Attempt uuid.UUID
	Number  int // of the attempt
}

// Term is how a cohort that the caller has to do with did over a term.
func (a *App) Term(ctx context.Context, c account.Caller, cohort uuid.UUID) (Term, error) {
	p, err := a.db.Term(ctx, c.Centre, cohort)
	if err := maySeeTerm(c, p, err); err != nil {
		return Term{}, err
	}
	t := Term{Cohort: cohort, Name: p.Name}
	numbers := make(map[uuid.UUID]int, len(p.Tasks))
	for i, k := range p.Tasks {
		t.Tasks = append(t.Tasks, TermTask{TermTask: k, Number: i + 1})
		numbers[k.ID] = i
	}
	rows, left := make(map[uuid.UUID]int, len(p.Members)), map[uuid.UUID]int{}
	for _, m := range p.Members {
		if m.Part == store.PartTutor {
			t.Tutors = append(t.Tutors, m)
			continue
		}
		if m.Left() {
			left[m.Person] = len(t.Left)
			t.Left = append(t.Left, TermRow{Trainee: m.Person, Name: m.Name, LeftOn: m.LeftOn})
			continue
		}
		rows[m.Person] = len(t.Rows)
		t.Rows = append(t.Rows, TermRow{Trainee: m.Person, Name: m.Name})
	}
	today := date(a.today())
	for _, at := range p.Attempts {
		if i, ok := left[at.Trainee]; ok {
			t.place(&t.Left[i], &TermTask{Number: numbers[at.Task] + 1}, at, today)
			continue
		}
		i, ok := rows[at.Trainee]
		if !ok {
			continue // taken out of the cohort
		}
		t.place(&t.Rows[i], &t.Tasks[numbers[at.Task]], at, today)
	}
	for i := range t.Rows {
		t.Rows[i].sort()
	}
	for i := range t.Left {
		t.Left[i].sort()
	}
	return t, nil
}

// maySeeTerm refuses whoever has nothing to do with a cohort that was read with err.
func maySeeTerm(c account.Caller, p store.Term, err error) error {
	if err != nil {
		return err
	}
	var st []account.Standing
	for _, m := range p.Members {
		if m.Part == store.PartTutor && m.Person == c.Person {
			st = append(st, account.Teaches)
		}
	}
	if err := account.May(c, account.SeeCohorts); err != nil {
		return err
	}
	return hide(account.May(c, account.SeeTerm, st...), "cohort")
}

// place puts an attempt where it stands, in its trainee's row and in its task's counts.
func (t *Term) place(row *TermRow, task *TermTask, at store.TermAttempt, today time.Time) {
	p := TermPlace{task.Number, at.Attempt, at.Number}
	due := at.DueOn
	if due.IsZero() {
		due = task.DueOn
	}
	working := at.State == decision.Planned || at.State == decision.Open || at.State == decision.SafetyStopped || at.State == decision.Suspended
	switch {
	case working && !due.IsZero() && due.Before(today):
		row.Late, task.Late = append(row.Late, p), task.Late+1
	case at.State == decision.Planned && at.Number > 1, at.State == decision.MoreToDo:
		row.Sent, task.Sent = append(row.Sent, p), task.Sent+1
	case at.State == decision.Planned:
		row.Not, task.No = append(row.Not, p), task.No+1
	case working:
		row.Under, task.Under = append(row.Under, p), task.Under+1
	case at.State == decision.HandedOver || at.State == decision.Checked || at.State == decision.Decided || at.State == decision.UnderAppeal:
		row.Waiting, task.Waiting = append(row.Waiting, p), task.Waiting+1
	case at.State == decision.SignedOff || at.State == decision.Cleared || at.State == decision.Claimed || at.State == decision.Archived:
		row.SignedOff, task.SignedOff = append(row.SignedOff, p), task.SignedOff+1
	}
}

// sort puts each list in the order of the tasks.
func (r *TermRow) sort() {
	for _, list := range [][]TermPlace{r.SignedOff, r.Waiting, r.Sent, r.Under, r.Late, r.Not} {
		slices.SortFunc(list, func(a, b TermPlace) int { return a.Task - b.Task })
	}
}
