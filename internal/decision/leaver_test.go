package decision

import (
	"testing"
	"time"

	"witnessmark/internal/fault"
)

func TestWhatClosesAsATraineeLeaves(t *testing.T) {
	for s, want := range map[State]bool{
		Planned: true, Open: true, HandedOver: true, Checked: true, Decided: true, SafetyStopped: true,
		MoreToDo: false, SignedOff: false, Cleared: false, Claimed: false, Archived: false, Destroyed: false,
		Suspended: false, UnderAppeal: false, Withdrawn: false, SetAside: false,
	} {
		if Closes(s) != want {
			t.Errorf("%s: closes %v", s, !want)
		}
	}
	for _, e := range []Event{EventOpen, EventHandOver, EventChecked, EventDecide, EventDecideAll, EventSignOff, EventAskMore, EventStop, EventClearStop, EventClear,
		EventTakeBack, EventAppeal, EventReturn, EventSuspend, EventSetAside, EventWithdraw} {
		if to, err := Next(Withdrawn, e); err == nil {
			t.Errorf("withdrawn, %s brings it to %s", e, to)
		}
	}
	if CheckWithdrawn(Withdrawn) == nil || CheckWithdrawn(Open) != nil {
		t.Error("what is frozen is not what is withdrawn")
	}
}

func TestALastDayIsNotToCome(t *testing.T) {
	today := time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC)
	for days, want := range map[int]bool{0: true, -1: true, -400: true, 1: false, -80 * 366: false} {
		if err := CheckLeaving(today.AddDate(0, 0, days), today); (err == nil) != want {
			t.Errorf("%d days from today: %v", days, err)
		}
	}
	if err := CheckLeaving(time.Time{}, today); fault.KindOf(err) != fault.KindInvalid {
		t.Errorf("no day: %v", err)
	}
}

func TestAWithdrawalGoesBackToWhereItWas(t *testing.T) {
	left := func(before State) Record { return Record{Kind: KindLeave, Value: string(before)} }
	back := Record{Kind: KindReturn}
	for _, c := range []struct {
		name    string
		state   State
		records []Record
		want    State
		ok      bool
	}{
		{"open before", Withdrawn, []Record{left(Open)}, Open, true},
		{"stopped for safety before", Withdrawn, []Record{{Kind: KindSafetyStop}, left(SafetyStopped)}, SafetyStopped, true},
		{"left twice", Withdrawn, []Record{left(Open), back, left(Checked)}, Checked, true},
		{"taken back", Open, []Record{left(Open), back}, Open, false},
		{"withdrawn after that for another cause", Withdrawn, []Record{left(Planned), back}, Withdrawn, false},
		{"withdrawn by an appeal", Withdrawn, nil, Withdrawn, false},
		{"archived since", Archived, []Record{left(Open)}, Archived, false},
	} {
		if s, ok := BeforeLeaving(c.state, c.records); s != c.want || ok != c.ok {
			t.Errorf("%s: %s %v, want %s %v", c.name, s, ok, c.want, c.ok)
		}
	}
}
