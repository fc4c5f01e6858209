package app_test

import (
	"testing"
	"time"

	"witnessmark/internal/decision"
)

// The server's clock is put an hour back, a day ahead, or past the last second that 32 bits can count, between handing over and
// deciding: the work is marked, decided and signed off, and its log has every entry in the order in which it was
// made and holds together.
func TestTheServersClockJumps(t *testing.T) {
	for name, jump := range map[string]func(time.Time) time.Time{
		"an hour back":   func(now time.Time) time.Time { return now.Add(-time.Hour) },
		"a day ahead":    func(now time.Time) time.Time { return now.AddDate(0, 0, 1) },
		"past 2038":      func(time.Time) time.Time { return time.Date(2038, 1, 20, 8, 0, 0, 0, time.UTC) },
		"back from 2038": func(now time.Time) time.Time { return now.AddDate(-1, 0, 0) },
	} {
		t.Run(name, func(t *testing.T) {
			l := newLogged(t)
			ctx := t.Context()
			id := l.set(t)
			l.do(t, id)
			l.now = jump(l.now)
			s := l.mark(t, id)
			for _, k := range s.Criteria {
				s = l.centre.decide(t, id, k.Ref, decision.Met)
			}
			must(t, l.SignOff(ctx, l.tutor, id, s.Revision, password, ""))
			if got := l.seenBy(t, l.trainee, id); got.State != decision.SignedOff {
				t.Errorf("it is %s", got.State)
			}
			must(t, l.SignLogs(ctx))
			got, err := l.Log(ctx, l.manager, 0)
			must(t, err)
			for i, r := range got.Rows {
				if want := got.Size - 1 - int64(i); r.Index != want {
					t.Errorf("entry %d stands where %d belongs", r.Index, want)
				}
			}
			if audit := l.whole(t); audit.Size != got.Size || got.Signed.Size != got.Size {
				t.Errorf("%d entries, %d signed, %d audited", got.Size, got.Signed.Size, audit.Size)
			}
		})
	}
}
