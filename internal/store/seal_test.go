package store_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// sealed is a list of two things of Ann's: one entry that goes with it, and a photo that does not.
func (b bench) sealed(t *testing.T) (store.HandOver, uuid.UUID) {
	t.Helper()
	h, photo := b.handedOver(t, b.typed(t, "flow", "70")), newID(t)
	h.Seal = decision.Seal{
		ID: newID(t), Made: decision.Moment{At: monday.Add(-time.Hour), Offset: 3 * time.Second, Steady: true}, ReceivedAt: monday,
		Items: []decision.Listed{
			{ID: h.Entries[0].ID, Kind: decision.SealEntry, Digest: decision.EntryDigest(h.Entries[0].Entry)},
			{ID: photo, Kind: decision.SealFile, Digest: hexOf("jpeg")},
		},
	}
	h.Awaiting = 1
	return h, photo
}

// spots are what two phones tell of one release on the spot of Ann's attempt.
func (b bench) spots(t *testing.T) (decision.SpotClaim, decision.SpotRelease) {
	t.Helper()
	made := decision.Moment{At: monday.Add(-time.Minute), Offset: -2 * time.Second, Steady: true}
	claim := decision.SpotClaim{ID: newID(t), Stage: "electrics", Day: "2026-03-02", Made: made, ReceivedAt: monday, MAC: hexOf("mac " + newID(t).String()), By: b.ann,
		Items: []decision.Listed{{ID: newID(t), Kind: decision.SealFile, Digest: hexOf("jpeg")}}}
	release := decision.SpotRelease{ID: newID(t), Stage: "electrics", Day: "2026-03-02", Number: "012345", Words: "Covers on.", Made: made, ReceivedAt: monday, By: b.tutor, ByName: "Tess Tutor"}
	return claim, release
}

// fillSeals puts a row into every table of hand-overs and releases on the spot.
func (b bench) fillSeals(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	claim, release := b.spots(t)
	h, _ := b.sealed(t)
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.HoldCodes(ctx, []store.HoldCode{{Attempt: b.annDoes, Stage: "electrics", Day: "2026-03-02", Code: "123456789012", Salt: make([]byte, 16)}})
		return errors.Join(err, tx.AddSpotClaim(ctx, b.annDoes, claim), tx.AddSpotRelease(ctx, b.annDoes, release))
	})
	if err := b.HandOver(ctx, b.centre, h); err != nil {
		t.Fatal(err)
	}
}

func TestSealIsReadAsItWasKept(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.open(t, b.annDoes)
	h, photo := b.sealed(t)
	for range 2 { // the answer got lost
		if err := b.HandOver(ctx, b.centre, h); err != nil {
			t.Fatal(err)
		}
	}
	super := connect(t, b.urls.Super)
	if n := value[int](t, super, `SELECT count(*) FROM river.river_job WHERE kind = 'mark'`); n != 0 {
		t.Errorf("%d markings are asked for while a photo is awaited, want none", n)
	}
	j, err := b.JobSheet(ctx, b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	want := h.Seal
	slices.SortFunc(want.Items, func(x, y decision.Listed) int { return slices.Compare(x.ID[:], y.ID[:]) })
	if d := cmp.Diff(&want, j.Seal); d != "" {
		t.Errorf("the list (-kept +read):\n%s", d)
	}
	if len(j.Awaited) != 1 || j.Awaited[0].ID != photo || len(j.Entries) != 1 {
		t.Errorf("awaited is %+v with %d entries, want the photo and one", j.Awaited, len(j.Entries))
	}
	listed, other := b.photo(t), b.photo(t)
	listed.ID, listed.ReceivedAt, other.ReceivedAt = photo, monday.Add(time.Hour), monday.Add(time.Hour)
	b.write(t, func(tx *store.Tx) error {
		_, e1 := tx.AddEvidence(ctx, listed)
		_, e2 := tx.AddEvidence(ctx, other)
		return errors.Join(e1, e2)
	})
	if j, err = b.JobSheet(ctx, b.centre, b.annDoes); err != nil || len(j.Awaited) != 0 || len(j.Evidence) != 1 || len(j.Held.Evidence) != 1 || j.Held.Evidence[0].ID != other.ID {
		t.Errorf("%d awaited, %d files in the set, held %+v (%v)", len(j.Awaited), len(j.Evidence), j.Held, err)
	}
	for _, sql := range []string{`UPDATE seal SET received_at = now()`, `DELETE FROM seal_item`} {
		refused(t, super, "23001", sql) // restrict_violation, which append_only raises
	}
}

func TestHoldCodesStayAsTheyWereMade(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	code := store.HoldCode{Attempt: b.annDoes, Stage: "electrics", Day: "2026-03-02", Code: "123456789012", Salt: []byte("0123456789abcdef")}
	next := code
	next.Day, next.Code = "2026-03-03", "000000000000"
	other := code
	other.Code = "999999999999" // two phones ask at once
	var first, again []store.HoldCode
	b.write(t, func(tx *store.Tx) (err error) {
		first, err = tx.HoldCodes(ctx, []store.HoldCode{code, next})
		return err
	})
	b.write(t, func(tx *store.Tx) (err error) {
		if again, err = tx.HoldCodes(ctx, []store.HoldCode{other}); err != nil {
			return err
		}
		proved := again[0]
		proved.Proof = make([]byte, 32)
		return tx.SetProof(ctx, proved)
	})
	if d := cmp.Diff([]store.HoldCode{code, next}, first); d != "" {
		t.Errorf("the codes (-made +read):\n%s", d)
	}
	if len(again) != 1 || again[0].Code != code.Code {
		t.Errorf("asked again, the code is %+v, want the one that was made first", again)
	}
	b.write(t, func(tx *store.Tx) error {
		codes, err := tx.CodesOf(ctx, b.annDoes)
		if len(codes) != 2 || len(codes[0].Proof) != 32 || codes[1].Proof != nil {
			t.Errorf("the attempt's codes are %+v", codes)
		}
		return err
	})
}

func TestSpotsAreReadAsTheyWereKept(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	claim, release := b.spots(t)
	claim.State, release.State = decision.SpotWaiting, decision.SpotWaiting
	b.write(t, func(tx *store.Tx) error {
		for range 2 {
			if err := errors.Join(tx.AddSpotClaim(ctx, b.annDoes, claim), tx.AddSpotRelease(ctx, b.annDoes, release)); err != nil {
				return err
			}
		}
		wait, err := tx.SpotsWait(ctx, b.annDoes)
		if !wait {
			t.Error("nothing waits")
		}
		return err
	})
	read := func() store.JobSheet {
		j, err := b.JobSheet(ctx, b.centre, b.annDoes)
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	j := read()
	if d := cmp.Diff([]decision.SpotClaim{claim}, j.Claims); d != "" {
		t.Errorf("the claim (-kept +read):\n%s", d)
	}
	if d := cmp.Diff([]decision.SpotRelease{release}, j.Releases); d != "" {
		t.Errorf("the release (-kept +read):\n%s", d)
	}
	claim.SpotVerdict = decision.SpotVerdict{State: decision.SpotRefused, Refusal: decision.RefusedAltered, Why: "Not the same."}
	release.SpotVerdict = decision.SpotVerdict{State: decision.SpotConfirmed}
	later := claim
	later.ID, later.ReceivedAt = newID(t), monday.Add(time.Hour)
	b.write(t, func(tx *store.Tx) error {
		err := errors.Join(tx.SettleClaim(ctx, claim.ID, claim.SpotVerdict), tx.SettleRelease(ctx, release.ID, release.SpotVerdict))
		for c, want := range map[*decision.SpotClaim]bool{&claim: false, &later: true} {
			there, e := tx.ClaimedElsewhere(ctx, b.bobDoes, *c)
			if err = errors.Join(err, e); there != want {
				t.Errorf("received %v, the claim was made elsewhere before: %v, want %v", c.ReceivedAt, there, want)
			}
		}
		return err
	})
	if j = read(); j.Claims[0].SpotVerdict != claim.SpotVerdict || j.Releases[0].SpotVerdict != release.SpotVerdict {
		t.Errorf("settled as %+v and %+v", j.Claims[0].SpotVerdict, j.Releases[0].SpotVerdict)
	}
}
