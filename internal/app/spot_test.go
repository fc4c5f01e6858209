package app_test

import (
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

// spot is two phones at a rig without signal: the tutor's with the code, the trainee's with the evidence.
type spot struct {
	*phone
	day, code string
	at        time.Time // when the digits were given and typed
	claim     app.NewSpotClaim
	release   app.NewSpotRelease
}

// onTheSpot prepares both phones on line, then makes what each of them keeps a minute later.
func onTheSpot(t *testing.T, c *centre, id uuid.UUID) *spot {
	t.Helper()
	s := &spot{phone: captured(t, c, id), day: c.now.In(app.London()).Format(time.DateOnly)}
	board, err := c.SpotBoard(t.Context(), c.tutor)
	must(t, err)
	for _, row := range board {
		if row.Attempt == id && row.Stage == "wire" {
			s.code = row.Codes[0].Code
			if row.Codes[0].Day != s.day || len(row.Codes) != 2 || row.Trainee == "" || row.Number == 0 || row.Show == "" {
				t.Errorf("the tutor's row is %+v", row)
			}
		}
	}
	if len(s.code) != 12 {
		t.Fatalf("the tutor's phone has the code %q of %+v", s.code, board)
	}
	s.at = c.now.Add(time.Minute)
	c.now = c.now.Add(3 * time.Hour) // no signal until then
	s.make(t)
	return s
}

// make makes both records afresh.
func (s *spot) make(t *testing.T) {
	t.Helper()
	items := s.seal(t).Items
	list := decision.ListDigest(items)
	number, err := decision.EvidenceNumber(list)
	must(t, err)
	s.claim = app.NewSpotClaim{ID: newID(t), Stage: "wire", Day: s.day, At: s.at, Items: items, MAC: decision.SpotMAC(s.code, s.attempt, "wire", s.day, list)}
	s.release = app.NewSpotRelease{ID: newID(t), Stage: "wire", Day: s.day, At: s.at, Number: number, Words: "Covers on, tag 14 hung."}
}

func (s *spot) claims(t *testing.T) decision.SpotVerdict {
	t.Helper()
	s.claim.PhoneClock = s.says()
	v, err := s.ClaimSpot(t.Context(), s.trainee, s.attempt, s.claim)
	must(t, err)
	return v
}

func (s *spot) releases(t *testing.T, by account.Caller) decision.SpotVerdict {
	t.Helper()
	s.release.PhoneClock = s.says()
	v, err := s.ReleaseOnTheSpot(t.Context(), by, s.attempt, s.release)
	must(t, err)
	return v
}

// sends sends the evidence, and the tutor's check is entered, so that what the hold point needs is right.
func (s *spot) sends(t *testing.T) {
	t.Helper()
	for i := range s.entries {
		s.entries[i].PhoneClock = s.says()
	}
	must(t, s.RecordEntries(t.Context(), s.trainee, s.attempt, s.entries))
	for i := range s.files {
		must(t, s.send(t, i))
	}
	must(t, s.EnterCheckReading(t.Context(), s.tutor, s.attempt, app.CheckReading{Item: "continuity"}, password))
}

// released is the release that stands; nil while the hold point does.
func (s *spot) released(t *testing.T) *decision.Record {
	t.Helper()
	sh, err := s.Sheet(t.Context(), s.tutor, s.attempt)
	must(t, err)
	return decision.Latest(sh.Records, decision.KindHoldRelease, "wire")
}

func newSpot(t *testing.T) *spot {
	t.Helper()
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	return onTheSpot(t, c, id)
}

// Whichever phone has signal first, the hold point is released once both have told, from the moment on the spot.
func TestReleasedOnTheSpotInEitherOrder(t *testing.T) {
	steps := map[string]func(*testing.T, *spot) decision.SpotVerdict{
		"claim":    func(t *testing.T, s *spot) decision.SpotVerdict { return s.claims(t) },
		"release":  func(t *testing.T, s *spot) decision.SpotVerdict { return s.releases(t, s.tutor) },
		"evidence": func(t *testing.T, s *spot) decision.SpotVerdict { s.sends(t); return decision.SpotVerdict{} },
	}
	for _, order := range []string{"claim release evidence", "release claim evidence", "evidence claim release", "evidence release claim", "claim evidence release"} {
		t.Run(order, func(t *testing.T) {
			s := newSpot(t)
			for i, step := range strings.Fields(order) {
				if r := s.released(t); r != nil {
					t.Fatalf("before the %s came the hold point was released by %+v", step, r)
				}
				v := steps[step](t, s)
				if step != "evidence" && i < 2 && (v.State != decision.SpotWaiting || v.Why == "") {
					t.Errorf("after the %s it stands as %+v, want it to wait and say for what", step, v)
				}
			}
			r := s.released(t)
			if r == nil || r.Outcome != decision.ReleasedOnTheSpot || r.ByName != s.tutor.Name || r.Words != "Covers on, tag 14 hung." ||
				!decision.ReleasedAt(r).Equal(s.at) || !r.At.Equal(s.now) {
				t.Fatalf("released by %+v, want the tutor at %v, recorded %v", r, s.at, s.now)
			}
			if v := s.claims(t); v.State != decision.SpotConfirmed { // the answer got lost
				t.Errorf("the same claim again stands as %+v", v)
			}
			if v := s.releases(t, s.tutor); v.State != decision.SpotConfirmed {
				t.Errorf("the same release again stands as %+v", v)
			}
		})
	}
}

// Every way of coming by a release that nobody gave, each with words of its own.
func TestReleasesOnTheSpotThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*testing.T, *spot) decision.SpotVerdict
		want decision.Refusal
		says string
	}{
		{"altered: another list than was shown", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.releases(t, s.tutor)
			s.claim.Items = s.claim.Items[1:]
			s.claim.MAC = decision.SpotMAC(s.code, s.attempt, "wire", s.day, decision.ListDigest(s.claim.Items))
			return s.claims(t)
		}, decision.RefusedAltered, "evidence number"},
		{"altered: a list that the digits were not given for", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.releases(t, s.tutor)
			s.claim.Items = s.claim.Items[1:]
			return s.claims(t)
		}, decision.RefusedAltered, "not what the digits were given for"},
		{"self-made: digits of one's own", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.claim.MAC = decision.SpotMAC("000000000000", s.attempt, "wire", s.day, decision.ListDigest(s.claim.Items))
			return s.claims(t)
		}, decision.RefusedSelfMade, "No releaser's phone"},
		{"self-made: a day without a code", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.claim.Day = "2026-05-09"
			s.claim.MAC = decision.SpotMAC(s.code, s.attempt, "wire", "2026-05-09", decision.ListDigest(s.claim.Items))
			return s.claims(t)
		}, decision.RefusedSelfMade, "No releaser's phone"},
		{"expired: typed on the next day", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.now = s.now.AddDate(0, 0, 2)
			s.releases(t, s.tutor)
			s.claim.At = s.at.AddDate(0, 0, 1)
			return s.claims(t)
		}, decision.RefusedExpired, "4 May"},
		{"expired: given on the next day", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.now = s.now.AddDate(0, 0, 2)
			s.release.At = s.at.AddDate(0, 0, 1)
			return s.releases(t, s.tutor)
		}, decision.RefusedExpired, "4 May"},
		{"not entitled that day", func(t *testing.T, s *spot) decision.SpotVerdict { return s.releases(t, s.second) }, decision.RefusedNotEntitled, "registration"},
		{"not right: the reading fails", func(t *testing.T, s *spot) decision.SpotVerdict {
			for i := range s.entries {
				if s.entries[i].Item == "continuity" {
					s.entries[i].Text = "5"
				}
			}
			s.make(t)
			s.sends(t)
			s.releases(t, s.tutor)
			return s.claims(t)
		}, decision.RefusedNotRight, "not right"},
		{"replayed: a second time", func(t *testing.T, s *spot) decision.SpotVerdict {
			s.sends(t)
			s.releases(t, s.tutor)
			s.claims(t)
			if s.released(t) == nil {
				t.Error("the first was not taken")
			}
			s.claim.ID = newID(t)
			return s.claims(t)
		}, decision.RefusedReplayed, "used before"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSpot(t)
			before := s.released(t)
			v := c.do(t, s)
			if v.State != decision.SpotRefused || v.Refusal != c.want || !strings.Contains(v.Why, c.says) {
				t.Errorf("it stands as %+v, want it refused as %s and %q in its words", v, c.want, c.says)
			}
			if r := s.released(t); c.want != decision.RefusedReplayed && r != before {
				t.Errorf("and the hold point was released: %+v", r)
			}
			sh, err := s.Sheet(t.Context(), s.tutor, s.attempt)
			must(t, err)
			found := false
			for _, st := range sh.Stages {
				if st.Hold != nil {
					for _, x := range st.Hold.Spots {
						found = found || x.Why == v.Why
					}
				}
			}
			if !found {
				t.Error("the tutor's page does not say why")
			}
		})
	}
}

// A claim that is sent again for another attempt, or with the digits of another one, releases nothing there.
func TestSpotClaimOfAnotherAttempt(t *testing.T) {
	c := newCentre(t)
	peer := c.person(t, "petra", account.Trainee)
	must(t, c.AddMember(t.Context(), c.manager, c.cohort, peer.Person, store.PartTrainee))
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	tasks, err := c.MyTasks(t.Context(), peer)
	must(t, err)
	theirs := tasks[0].Attempt
	must(t, c.OpenAttempt(t.Context(), peer, theirs, true, true))
	s := onTheSpot(t, c, id)
	s.claims(t)
	c.now = c.now.Add(time.Minute)
	for name, claim := range map[string]app.NewSpotClaim{"the same claim": s.claim, "the same under another id": func() app.NewSpotClaim { k := s.claim; k.ID = newID(t); return k }()} {
		v, err := c.ClaimSpot(t.Context(), peer, theirs, claim)
		must(t, err)
		if v.Refusal != decision.RefusedReplayed {
			t.Errorf("%s for another attempt stands as %+v, want it refused as replayed", name, v)
		}
	}
	_, err = c.ClaimSpot(t.Context(), peer, id, s.claim)
	wantKind(t, "claiming for another's attempt", err, fault.KindNotFound)
	_, err = c.ReleaseOnTheSpot(t.Context(), c.trainee, id, s.release)
	wantKind(t, "releasing one's own", err, fault.KindForbidden)
	if s.sends(t); s.releases(t, s.tutor).State != decision.SpotConfirmed {
		t.Error("the first claim suffered from being sent for another attempt")
	}
}

// A check reading that the releaser enters afterwards makes a refused release hold; the moment stays that on the spot.
func TestSpotReleaseAfterTheCheck(t *testing.T) {
	s := newSpot(t)
	s.sends(t)
	s2 := newSpot(t)
	for i := range s2.entries {
		s2.entries[i].PhoneClock = s2.says()
	}
	must(t, s2.RecordEntries(t.Context(), s2.trainee, s2.attempt, s2.entries))
	for i := range s2.files {
		must(t, s2.send(t, i))
	}
	s2.releases(t, s2.tutor)
	if v := s2.claims(t); v.Refusal != decision.RefusedNotRight {
		t.Errorf("with the reading not checked it stands as %+v", v)
	}
	must(t, s2.EnterCheckReading(t.Context(), s2.tutor, s2.attempt, app.CheckReading{Item: "continuity"}, password))
	if r := s2.released(t); r == nil || !decision.ReleasedAt(r).Equal(s2.at) {
		t.Errorf("after the check the release is %+v, want one at %v", r, s2.at)
	}
}

// The order of evidence and a release on the spot goes by the moment there, not by when it came.
func TestOrderOfEvidenceAndASpotRelease(t *testing.T) {
	s := newSpot(t)
	for i := range s.entries {
		s.entries[i].CapturedAt = s.at.Add(time.Duration(i-3) * time.Minute)
	}
	s.make(t)
	s.sends(t)
	s.releases(t, s.tutor)
	s.claims(t)
	sh, err := s.Sheet(t.Context(), s.tutor, s.attempt)
	must(t, err)
	before, after := 0, 0
	for _, st := range sh.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Entry == nil || st.Key != "wire" {
					continue
				}
				want := decision.After
				if l.Entry.CapturedAt.Before(s.at) {
					want = decision.Before
					before++
				} else {
					after++
				}
				if l.Entry.Order != want {
					t.Errorf("captured %v and released %v: %q, want %q", l.Entry.CapturedAt, s.at, l.Entry.Order, want)
				}
			}
		}
	}
	if after == 0 {
		t.Errorf("%d before and %d after say nothing", before, after)
	}
}

// Years later the portfolio says where and when a hold point was released, what was sealed, and what was taken in.
func TestPortfolioOfASealedAttempt(t *testing.T) {
	s := newSpot(t)
	ctx := t.Context()
	s.sends(t)
	s.releases(t, s.tutor)
	s.claims(t)
	_, behind := s.aroundHold(s.entries) // done once more after the release, before there was signal
	for i := range behind {
		behind[i].ID, behind[i].CapturedAt = newID(t), s.at.Add(time.Minute)
	}
	must(t, s.RecordEntries(ctx, s.trainee, s.attempt, behind))
	s.entries = append(s.entries, behind...)
	_, err := s.HandOverSealed(ctx, s.trainee, s.attempt, nil, true, s.seal(t))
	must(t, err)
	s.now = s.now.Add(time.Hour)
	stray := app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}}
	must(t, s.RecordEntries(ctx, s.trainee, s.attempt, []app.NewEntry{stray}))
	sh := s.mark(t, s.attempt)
	must(t, s.TakeIn(ctx, s.tutor, s.attempt, stray.ID, "Typed on the centre's own phone."))
	for _, k := range sh.Criteria {
		sh = s.decide(t, s.attempt, k.Ref, decision.Met)
	}
	must(t, s.SignOff(ctx, s.tutor, s.attempt, sh.Revision, password, ""))
	text := s.portfolioText(t)
	for _, want := range []string{
		s.tutor.Name + ", tutor, on the spot without signal, 4 May 2026 09:01:00 BST; confirmed 4 May 2026 12:00:00 BST", "tag 14 hung",
		"Sealed list", "things, on the phone 4 May 2026 12:00:00 BST, received 4 May 2026 12:00:00 BST", "was taken in for", "own phone.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the portfolio does not say %q", want)
		}
	}
	if t.Failed() {
		i := max(strings.Index(text, "Hold 2"), 0)
		t.Logf("…%s…", text[i:min(i+900, len(text))])
	}
}
