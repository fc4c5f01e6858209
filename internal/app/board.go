package app

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// Board is a cohort's bench board.
type Board struct {
	Cohort
	Tasks []BoardTask // in the order in which they were set
}

// BoardTask is one task with a row for each trainee.
type BoardTask struct {
	store.Task
	Stages []BoardStage
	Rows   []BoardRow
	Unset  []store.Member // trainees of the cohort whom it is not set to: they joined later, or were left out
}

// BoardStage is the head of one stage.
type BoardStage struct {
	Number int
	Key    string
	Title  string
	Hold   bool // a hold point stands before it
}

// BoardRow is one trainee's newest attempt.
type BoardRow struct {
	store.Standing
	Earlier []store.Standing // earlier attempts, oldest first
	Stamps  []Stamp          // one a stage
	Where   string           // in a sentence: "set 3 May, waiting at hold 2"
	Hold    int              // the number of the stage at whose hold point they wait; 0 for none
}

// Stamp is how far one stage has come.
type Stamp struct {
	Done, Total int  // items with something in them, of the required ones
	Holding     bool // its hold point has not been released
}

// Board is the bench board of a cohort that the caller has to do with.
func (a *App) Board(ctx context.Context, c account.Caller, cohort uuid.UUID) (Board, error) {
	k, err := a.Cohort(ctx, c, cohort)
	if err != nil {
		return Board{}, err
	}
	rows, err := a.db.Board(ctx, c.Centre, cohort)
	if err != nil {
		return Board{}, err
	}
	board := Board{Cohort: k}
	here := slices.DeleteFunc(rows.Attempts, func(at store.Standing) bool {
		return slices.ContainsFunc(k.Left, func(m store.Member) bool { return m.Person == at.Trainee })
	})
	for i, task := range rows.Tasks {
		source := rows.Sources[i].Source
		b, err := a.briefs.brief(brief.Digest([]byte(source)), func() (string, error) { return source, nil })
		if err != nil {
			return Board{}, err
		}
		bt := boardTask(task, b, here)
		for _, m := range k.Trainees {
			if !slices.ContainsFunc(bt.Rows, func(r BoardRow) bool { return r.Trainee == m.Person }) {
				bt.Unset = append(bt.Unset, m)
			}
		}
		board.Tasks = append(board.Tasks, bt)
	}
	return board, nil
}

// boardTask lays out one task's rows; attempts come by task, trainee and number.
func boardTask(task store.Task, b *brief.Brief, attempts []store.Standing) BoardTask {
	bt := BoardTask{Task: task}
	for i, st := range b.Stages {
		bt.Stages = append(bt.Stages, BoardStage{Number: i + 1, Key: st.Key, Title: st.Title, Hold: st.Hold != nil})
	}
	for _, at := range attempts {
		if at.Task != task.ID {
			continue
		}
		row := BoardRow{Standing: at}
		if n := len(bt.Rows); n > 0 && bt.Rows[n-1].Trainee == at.Trainee {
			row.Earlier = append(bt.Rows[n-1].Earlier, bt.Rows[n-1].Standing)
			bt.Rows = bt.Rows[:n-1]
		}
		row.Stamps = stamps(b, at)
		row.Where, row.Hold = where(task, b, at, row.Stamps)
		bt.Rows = append(bt.Rows, row)
	}
	return bt
}

// stamps counts, stage by stage, the required items that have something in them.
func stamps(b *brief.Brief, at store.Standing) []Stamp {
	var out []Stamp
	for _, st := range b.Stages {
		s := Stamp{Holding: st.Hold != nil && !slices.Contains(at.Released, st.Key)}
		for _, it := range st.Items {
			if it.Optional {
				continue
			}
			s.Total++
			if slices.Contains(at.Items, it.Key) {
				s.Done++
			}
		}
		out = append(out, s)
	}
	return out
}

// where says in a sentence where an attempt stands, and at which stage's hold point it waits; 0 for none.
func where(task store.Task, b *brief.Brief, at store.Standing, ss []Stamp) (words string, hold int) {
	day := func(t time.Time) string { return t.Format("2 January") }
	switch at.State {
	case decision.Planned:
		return "set " + day(task.SetAt) + ", not started", 0
	case decision.HandedOver, decision.Checked:
		return "handed over " + day(at.HandedOverAt) + ", waiting for the tutor", 0
	case decision.Decided:
		return fmt.Sprintf("decided, %d of %d met, not signed off", at.Met, len(b.CriterionRefs())), 0
	case decision.SignedOff:
		return "signed off " + day(at.SignedOffAt), 0
	case decision.Open:
	default:
		return at.State.Words(), 0
	}
	for i, s := range ss {
		if s.Holding && (i == 0 || ss[i-1].Done == ss[i-1].Total) && s.Done < max(s.Total, 1) {
			return fmt.Sprintf("started %s, waiting at the hold point before stage %d", day(at.OpenedAt), i+1), i + 1
		}
		if s.Done < s.Total {
			return fmt.Sprintf("started %s, at stage %d", day(at.OpenedAt), i+1), 0
		}
	}
	return fmt.Sprintf("started %s, everything is there, not handed over", day(at.OpenedAt)), 0
}
