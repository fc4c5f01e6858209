package upload_test

import (
	"bytes"
	"net/http"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// Late signal is not late work: after handing over, what is on the sealed list joins the set, however far it was; what is not
// on it is taken too and held; under a listed id nothing else is taken.
func TestFilesThatComeAfterHandingOver(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	half, late, unlisted := picture(t, 1), picture(t, 2), picture(t, 3)
	halfID, lateID := newID(t), newID(t)
	at := s.own.announce(t, halfID, half).want(t, http.StatusCreated).header.Get("Location")
	s.own.patch(t, at, 0, half[:2000]).want(t, http.StatusNoContent)
	seal := &app.NewSeal{ID: newID(t), At: s.now(), PhoneClock: app.PhoneClock{SentAt: s.now(), Believed: new(int64)}, Items: []decision.Listed{
		{ID: halfID, Kind: decision.SealFile, Digest: digestOf(half)}, {ID: lateID, Kind: decision.SealFile, Digest: digestOf(late)},
	}}
	s.passed.Add(int64(time.Minute))
	got, err := s.HandOverSealed(t.Context(), s.own.who, s.own.attempt, nil, true, seal)
	if err != nil || got.Awaited != 2 {
		t.Fatalf("handed over: %+v, %v; want 2 files awaited", got, err)
	}
	s.passed.Add(int64(time.Hour))
	s.own.announce(t, lateID, unlisted).want(t, http.StatusConflict).wantTitle(t, "")
	s.own.patch(t, at, 2000, half[2000:]).want(t, http.StatusNoContent).wantHeaders(t, "Witnessmark-Received", digestOf(half))
	for id, data := range map[string][]byte{lateID.String(): late, newID(t).String(): unlisted} {
		at := s.own.announce(t, mustID(t, id), data).want(t, http.StatusCreated).header.Get("Location")
		s.own.patch(t, at, 0, data).want(t, http.StatusNoContent)
		s.own.announce(t, mustID(t, id), data).want(t, http.StatusCreated).wantHeaders(t, "Location", at, "Witnessmark-Received", digestOf(data))
	}
	if got := s.files(t, s.own); len(got) != 2 {
		t.Errorf("the set has the files %q, want the two that are listed", got)
	}
	sheet, err := s.Sheet(t.Context(), s.tutor, s.own.attempt)
	must(t, err)
	if len(sheet.Held) != 1 || sheet.Held[0].File == nil || sheet.Held[0].File.Digest != digestOf(unlisted) {
		t.Errorf("held are %+v, want the file that is not listed", sheet.Held)
	}
}

// Where nothing may come in any more the file that was on its way stays where it is, and is refused in words.
func TestAFileForAnAttemptThatIsWithdrawn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	at := s.own.announce(t, id, data).want(t, http.StatusCreated).header.Get("Location")
	s.own.patch(t, at, 0, data[:2000]).want(t, http.StatusNoContent)
	must(t, s.db.Write(t.Context(), s.centre, func(tx *store.Tx) error {
		at, err := tx.LockAttempt(t.Context(), s.own.attempt)
		if err != nil {
			return err
		}
		at.State = decision.Withdrawn
		_, err = tx.SaveAttempt(t.Context(), at)
		return err
	}))
	s.own.patch(t, at, 2000, data[2000:]).want(t, http.StatusConflict).wantTitle(t, "nothing can be added")
	s.own.send(t, http.MethodPatch, at, bytes.NewReader(nil), partHeaders(len(data))).want(t, http.StatusConflict).wantTitle(t, "nothing can be added")
	s.own.announce(t, id, data).want(t, http.StatusConflict).wantTitle(t, "nothing can be added")
	if got := s.files(t, s.own); len(got) != 0 {
		t.Errorf("the attempt has the files %q, want none", got)
	}
}
