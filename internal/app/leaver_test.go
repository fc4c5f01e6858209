package app_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// leaves withdraws the trainee from the cohort today and says how many attempts closed.
func (c *centre) leaves(t *testing.T) int {
	t.Helper()
	n, err := c.WithdrawTrainee(t.Context(), c.manager, c.trainee.Person, app.NewLeaver{Cohort: c.cohort, LeftOn: c.now.Truncate(24 * time.Hour), Words: "A job elsewhere."})
	must(t, err)
	return n
}

// withdrawal is the trainee's newest withdrawal.
func (c *centre) withdrawal(t *testing.T) store.Withdrawal {
	t.Helper()
	list, err := c.db.Withdrawals(t.Context(), c.id, c.trainee.Person)
	must(t, err)
	return list[len(list)-1]
}

func TestAManagerWithdrawsATraineeWhoLeft(t *testing.T) {
	c := newCentre(t)
	ctx, id, today := t.Context(), c.set(t), morning.Truncate(24*time.Hour)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	withdraw := func(who account.Caller, person uuid.UUID, n app.NewLeaver) error {
		_, err := c.WithdrawTrainee(ctx, who, person, n)
		return err
	}
	good := app.NewLeaver{Cohort: c.cohort, LeftOn: today, Words: "A job elsewhere."}
	for _, who := range []account.Caller{c.tutor, c.trainee, c.person(t, "iris", account.QualityAssurer), c.person(t, "lew", account.Technician)} {
		wantKind(t, who.Name+" withdrawing", withdraw(who, c.trainee.Person, good), fault.KindForbidden)
		wantKind(t, who.Name+" taking back", c.TakeBackWithdrawal(ctx, who, newID(t), "No."), fault.KindForbidden)
	}
	wantKind(t, "oneself", withdraw(c.manager, c.manager.Person, good), fault.KindForbidden)
	wantKind(t, "nobody", withdraw(c.manager, uuid.New(), good), fault.KindNotFound)
	wantKind(t, "a tutor of the cohort", withdraw(c.manager, c.tutor.Person, good), fault.KindNotFound)
	wantKind(t, "of no cohort at all", withdraw(c.manager, c.person(t, "stray", account.Trainee).Person, app.NewLeaver{LeftOn: today, Words: "Gone."}), fault.KindConflict)
	for name, bad := range map[string]app.NewLeaver{
		"without a reason": {Cohort: c.cohort, LeftOn: today, Words: " "}, "without a day": {Cohort: c.cohort, Words: "Gone."}, "a day to come": {Cohort: c.cohort, LeftOn: today.AddDate(0, 0, 1), Words: "Gone."},
	} {
		wantKind(t, name, withdraw(c.manager, c.trainee.Person, bad), fault.KindInvalid)
	}
	if n := c.leaves(t); n != 1 {
		t.Errorf("%d attempts closed, want 1", n)
	}
	wantKind(t, "twice", withdraw(c.manager, c.trainee.Person, good), fault.KindConflict)
	wantKind(t, "from everything, once more", withdraw(c.manager, c.trainee.Person, app.NewLeaver{LeftOn: today, Words: "Gone."}), fault.KindConflict)

	// Nothing goes on, and what was captured can be read by those who could before.
	s := c.seenBy(t, c.tutor, id)
	left := decision.Leaving(s.State, s.Records)
	if left == nil || left.By != c.manager.Person || left.Value != string(decision.Open) || strings.Contains(left.Words, "elsewhere") {
		t.Fatalf("it is %s, by %+v", s.State, left)
	}
	c.seenBy(t, c.trainee, id)
	wantKind(t, "releasing", c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen."), fault.KindConflict)
	wantKind(t, "observing", c.Observe(ctx, c.tutor, id, decision.Observation{Subject: "wire", Outcome: decision.Seen}), fault.KindConflict)
	wantKind(t, "deciding", c.Decide(ctx, c.tutor, id, s.Revision, decision.Judgement{Criterion: "H2/1.1", Outcome: decision.Met}), fault.KindConflict)
	wantKind(t, "stopping it for safety", c.SafetyStop(ctx, c.tutor, id, "Water."), fault.KindConflict)
	wantKind(t, "handing over", c.HandOver(ctx, c.trainee, id, nil, true), fault.KindConflict)
	must(t, c.MarkAttempt(ctx, c.id, id)) // a job that comes late does nothing

	// They belong to the cohort no longer, and are set nothing there.
	k, err := c.Cohort(ctx, c.manager, c.cohort)
	must(t, err)
	if len(k.Trainees) != 0 || len(k.Left) != 1 || !k.Left[0].LeftOn.Equal(today) || k.Cohort.Trainees != 0 {
		t.Errorf("the cohort has %+v, of them left %+v", k.Trainees, k.Left)
	}
	wantKind(t, "adding them", c.AddMember(ctx, c.manager, c.cohort, c.trainee.Person, store.PartTrainee), fault.KindConflict)
	tasks, err := c.db.Board(ctx, c.id, c.cohort)
	must(t, err)
	wantKind(t, "setting them a task", c.SetTo(ctx, c.tutor, tasks.Tasks[0].ID, []uuid.UUID{c.trainee.Person}), fault.KindInvalid)
	needs, err := c.Needs(ctx, c.tutor)
	must(t, err)
	board, err := c.Board(ctx, c.tutor, c.cohort)
	must(t, err)
	term, err := c.Term(ctx, c.tutor, c.cohort)
	must(t, err)
	if len(needs) != 0 || len(board.Tasks[0].Rows) != 0 || len(board.Tasks[0].Unset) != 0 || len(term.Rows) != 0 || len(term.Left) != 1 || !term.Left[0].LeftOn.Equal(today) {
		t.Errorf("%d need somebody, the board has %d rows and %d unset, the term %d and %+v who left", len(needs), len(board.Tasks[0].Rows), len(board.Tasks[0].Unset), len(term.Rows), term.Left)
	}
	if list, err := c.Waiting(ctx, c.tutor); err != nil || len(list) != 0 {
		t.Errorf("%d attempts wait (%v)", len(list), err)
	}
}

// A phone without signal still has what its trainee captured before they were withdrawn: that is neither lost nor assessed.
func TestWhatAPhoneHasOfSomebodyWhoLeft(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	before := c.now.Add(-time.Minute)
	c.leaves(t)
	c.now = c.now.Add(time.Hour)
	entry := func(at time.Time) []app.NewEntry {
		return []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "why", Text: "It was cold."}, CapturedAt: at}}
	}
	photo := func(n int, at time.Time) error {
		_, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg", DeviceAt: at}, bytes.NewReader(picture(t, n)))
		return err
	}
	must(t, c.RecordEntries(ctx, c.trainee, id, entry(before)))
	must(t, photo(1, before))
	for name, at := range map[string]time.Time{"after": c.now, "at no known time": {}} {
		wantKind(t, "typed "+name, c.RecordEntries(ctx, c.trainee, id, entry(at)), fault.KindConflict)
		wantKind(t, "photographed "+name, photo(2, at), fault.KindConflict)
	}
	s := c.seenBy(t, c.tutor, id)
	if len(s.Held) != 2 || s.State != decision.Withdrawn {
		t.Fatalf("%d things held of an attempt that is %s", len(s.Held), s.State)
	}
	wantKind(t, "taking it in", c.TakeIn(ctx, c.tutor, id, s.Held[0].ID, "It is theirs."), fault.KindConflict)

	// Taken back, it goes on where it was, and a tutor takes in what came meanwhile.
	w := c.withdrawal(t)
	c.now = c.now.Add(time.Minute)
	wantKind(t, "taking it back without a reason", c.TakeBackWithdrawal(ctx, c.manager, w.ID, " "), fault.KindInvalid)
	must(t, c.TakeBackWithdrawal(ctx, c.manager, w.ID, "They are here."))
	wantKind(t, "taking it back twice", c.TakeBackWithdrawal(ctx, c.manager, w.ID, "Again."), fault.KindConflict)
	if s = c.seenBy(t, c.tutor, id); s.State != decision.Open || len(s.Held) != 2 {
		t.Fatalf("taken back, it is %s with %d things held", s.State, len(s.Held))
	}
	must(t, c.TakeIn(ctx, c.tutor, id, s.Held[0].ID, "It is theirs."))
	must(t, c.RecordEntries(ctx, c.trainee, id, entry(c.now)))
	if s = c.seenBy(t, c.tutor, id); len(s.Held) != 1 {
		t.Errorf("%d things held after one was taken in", len(s.Held))
	}
	if k, err := c.Cohort(ctx, c.manager, c.cohort); err != nil || len(k.Trainees) != 1 {
		t.Errorf("they do not belong to the cohort again: %v", err)
	}
	c.now = c.now.Add(time.Hour)
	if n := c.leaves(t); n != 1 {
		t.Errorf("%d attempts closed as they left again", n)
	}
}

// What waits to be judged closes too and is marked again where that is taken back; what was signed off, sent back or frozen stays.
func TestWhatStaysAsATraineeLeaves(t *testing.T) {
	t.Run("handed over", func(t *testing.T) {
		c := newCentre(t)
		ctx, id := t.Context(), c.set(t)
		c.do(t, id) // handed over, and not marked
		c.leaves(t)
		must(t, c.MarkAttempt(ctx, c.id, id))
		if s := c.seenBy(t, c.tutor, id); s.State != decision.Withdrawn {
			t.Errorf("it is %s", s.State)
		}
		must(t, c.TakeBackWithdrawal(ctx, c.manager, c.withdrawal(t).ID, "They are here."))
		must(t, c.MarkAttempt(ctx, c.id, id))
		if s := c.seenBy(t, c.tutor, id); s.State != decision.Checked {
			t.Errorf("taken back, it is %s", s.State)
		}
	})
	t.Run("signed off", func(t *testing.T) {
		c := newCentre(t)
		id := c.signedOff(t)
		if n := c.leaves(t); n != 0 {
			t.Errorf("%d attempts closed", n)
		}
		if s := c.seenBy(t, c.tutor, id); s.State != decision.SignedOff {
			t.Errorf("it is %s", s.State)
		}
	})
	t.Run("sent back", func(t *testing.T) {
		c := newCentre(t)
		ctx, id := t.Context(), c.sentBack(t, "H2/1.2")
		if n := c.leaves(t); n != 1 {
			t.Errorf("%d attempts closed, want the next one", n)
		}
		// An appeal is heard all the same; where it is upheld it is decided afresh, and nothing follows from that.
		must(t, c.Appeal(ctx, c.trainee, id, "It was tight."))
		must(t, c.SettleAppeal(ctx, c.person(t, "iris", account.QualityAssurer), id, c.seenBy(t, c.tutor, id).Revision, decision.Upheld, "It was."))
		if s := c.seenBy(t, c.manager, id); s.State != decision.Checked {
			t.Errorf("upheld, it is %s", s.State)
		}
	})
	t.Run("suspended", func(t *testing.T) {
		c := newCentre(t)
		ctx, id := t.Context(), c.set(t)
		must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
		file, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, "Two sheets alike.")
		must(t, err)
		must(t, c.Suspend(ctx, c.manager, file, id))
		if n := c.leaves(t); n != 0 {
			t.Errorf("%d attempts closed", n)
		}
		if needs, err := c.Needs(ctx, c.tutor); err != nil || len(needs) != 0 {
			t.Errorf("%d need somebody (%v)", len(needs), err)
		}
		must(t, c.LiftSuspension(ctx, c.manager, file, id, "They had said so."))
		if s := c.seenBy(t, c.tutor, id); s.State != decision.Withdrawn {
			t.Errorf("lifted, it is %s", s.State)
		}
		must(t, c.TakeBackWithdrawal(ctx, c.manager, c.withdrawal(t).ID, "They are here."))
		if s := c.seenBy(t, c.tutor, id); s.State != decision.Open {
			t.Errorf("taken back, it is %s", s.State)
		}
	})
}

// A time of keeping begins on the last day, though that was entered later; what was signed off needs no claim for it.
func TestKeepingBeginsWhenSomebodyLeft(t *testing.T) {
	for name, begin := range map[string]func(*centre) uuid.UUID{
		"open": func(c *centre) uuid.UUID {
			id := c.set(t)
			must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
			return id
		},
		"signed off": func(c *centre) uuid.UUID { return c.signedOff(t) },
	} {
		t.Run(name, func(t *testing.T) {
			c := newCentre(t)
			ctx, id := t.Context(), begin(c)
			last := c.now.AddDate(0, 2, 0)
			c.now = last.AddDate(0, 3, 0)
			_, err := c.WithdrawTrainee(ctx, c.manager, c.trainee.Person, app.NewLeaver{LeftOn: last.Truncate(24 * time.Hour), Words: "A job elsewhere."})
			must(t, err)
			c.now = last.AddDate(0, 36, -1)
			_, err = c.ProposePurge(ctx, c.manager)
			wantKind(t, "a day early", err, fault.KindConflict)
			c.now = last.AddDate(0, 36, 2)
			assurer := c.person(t, "anna", account.QualityAssurer)
			c.purged(t, assurer)
			if s := c.seenBy(t, c.manager, id); s.State != decision.Destroyed {
				t.Errorf("it is %s", s.State)
			}
			// Once their details go, nobody reads why they left.
			c.now = c.now.AddDate(0, 37, 0)
			c.purged(t, assurer)
			if all := c.everything(t); strings.Contains(all, "A job elsewhere") || strings.Contains(all, "Person tom") {
				t.Error("something of them is left")
			}
		})
	}
	t.Run("without any work", func(t *testing.T) {
		c := newCentre(t)
		c.leaves(t)
		c.now = c.now.AddDate(0, 36, 2)
		c.purged(t, c.person(t, "anna", account.QualityAssurer))
		if strings.Contains(c.everything(t), "Person tom") {
			t.Error("their details are left")
		}
	})
}

// Whoever asks for all that is kept of them reads why they were withdrawn.
func TestTheExportNamesAWithdrawal(t *testing.T) {
	c := newCentre(t)
	c.leaves(t)
	c.now = c.now.Add(time.Hour)
	must(t, c.TakeBackWithdrawal(t.Context(), c.manager, c.withdrawal(t).ID, "They are here."))
	person := c.givenOut(t, c.trainee, c.trainee.Person)["person.json"]
	for _, want := range []string{`"cohort": "Monday evening"`, `"left_on": "2026-05-04"`, `"words": "A job elsewhere."`, `"taken_back_words": "They are here."`} {
		if !strings.Contains(person, want) {
			t.Errorf("%s is not there: %s", want, person)
		}
	}
}
