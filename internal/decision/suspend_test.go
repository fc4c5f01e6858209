package decision

import (
	"testing"
	"time"

	"github.com/google/uuid"
)

func TestWhatCameWhileSuspendedIsHeld(t *testing.T) {
	id := uuid.New()
	at := func(h int) time.Time { return time.Date(2026, 5, 4, h, 0, 0, 0, time.UTC) }
	stop, lift := Record{Kind: KindSuspend, At: at(10), Value: "open"}, Record{Kind: KindResume, At: at(12)}
	again := Record{Kind: KindSuspend, At: at(14)}
	listed := &Seal{ReceivedAt: at(9), Made: Moment{At: at(9), Steady: true}, Items: []Listed{{ID: id, Kind: SealEntry}}}
	left, back := Record{Kind: KindLeave, At: at(10), Value: "open"}, Record{Kind: KindReturn, At: at(12)}
	for _, c := range []struct {
		name     string
		seal     *Seal
		received int
		records  []Record
		want     bool
	}{
		{"never suspended", nil, 11, nil, false},
		{"before", nil, 9, []Record{stop}, false},
		{"while it lasts", nil, 11, []Record{stop}, true},
		{"at its first moment", nil, 10, []Record{stop}, true},
		{"while it lasted", nil, 11, []Record{stop, lift}, true},
		{"at the moment when it was lifted", nil, 12, []Record{stop, lift}, false},
		{"between two", nil, 13, []Record{stop, lift, again}, false},
		{"in the second", nil, 15, []Record{stop, lift, again}, true},
		{"set aside since", nil, 11, []Record{stop, {Kind: KindSetAside, At: at(12)}}, true},
		{"since the trainee left", nil, 11, []Record{left}, true},
		{"before the trainee left", nil, 9, []Record{left}, false},
		{"while the trainee had left", nil, 11, []Record{left, back}, true},
		{"after that was taken back", nil, 13, []Record{left, back}, false},
		{"on a list that was sealed before the trainee left", listed, 11, []Record{left}, false},
		{"taken in since", nil, 11, []Record{stop, lift, {Kind: KindTakeIn, Subject: id.String()}}, false},
		{"something else taken in", nil, 11, []Record{stop, lift, {Kind: KindTakeIn, Subject: uuid.NewString()}}, true},
		{"on a list that was sealed before", listed, 11, []Record{stop, lift}, false},
		{"on no such list", &Seal{ReceivedAt: at(9)}, 11, []Record{stop, lift}, true},
		{"on a list that was sealed later", &Seal{ReceivedAt: at(16), Items: listed.Items}, 11, []Record{stop, lift}, true},
	} {
		if got := HeldWhileFrozen(c.seal, id, at(c.received), c.records); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestSuspensionGoesBackToWhereItWas(t *testing.T) {
	stop := Record{Kind: KindSuspend, Value: string(SignedOff)}
	if s, err := BeforeSuspension(Suspended, []Record{stop}); s != SignedOff || err != nil {
		t.Errorf("got %s, %v", s, err)
	}
	if _, err := BeforeSuspension(SignedOff, []Record{stop}); err == nil {
		t.Error("lifted though it is not suspended")
	}
	if CheckSuspended(Suspended) == nil || CheckSuspended(Open) != nil {
		t.Error("frozen is not what is suspended")
	}
}
