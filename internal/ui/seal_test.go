package ui

import (
	"strings"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// sealedView is an attempt that was handed over without signal: three things are still to come, two came without being on the
// list, one hold point was released on the spot, and of another both phones tell something.
func sealedView(t *testing.T, st decision.State, own bool) *SheetView {
	t.Helper()
	v := sampleView(t, st, own)
	s := v.Sheet
	s.Seal = &app.SheetSeal{MadeAt: when.Add(-3 * time.Hour), ReceivedAt: when, Listed: 17, Awaited: 3}
	s.Held = []app.HeldThing{
		{ID: id(70), Item: "dt", Title: "Temperature difference", Line: "dt", Text: "19 " + hostile, CapturedAt: when.Add(-time.Hour), ReceivedAt: when},
		{ID: id(71), Item: "before", Title: "The rig as you find it", ReceivedAt: when, File: &app.SheetFile{ID: id(71), Name: "IMG_9.jpg", Caption: "The valve"}},
	}
	for i := range s.Stages {
		h := s.Stages[i].Hold
		if h == nil {
			continue
		}
		h.Release = &decision.Record{Kind: decision.KindHoldRelease, Outcome: decision.ReleasedOnTheSpot, ByName: "Owen Tranter", At: when, Value: when.Add(-26 * time.Hour).Format(time.RFC3339), Words: "Tag 14 hung."}
		if st == decision.Open {
			h.Release = nil
			h.Spots = []app.SheetSpot{
				{SpotVerdict: decision.SpotVerdict{State: decision.SpotWaiting, Why: "Nobody's record of this release has come yet."}, At: when},
				{SpotVerdict: decision.SpotVerdict{State: decision.SpotRefused, Refusal: decision.RefusedAltered, Why: "Not what was shown."}, By: "Owen Tranter", At: when},
			}
		}
		for j := range s.Stages[i].Items {
			for k := range s.Stages[i].Items[j].Lines {
				if e := s.Stages[i].Items[j].Lines[k].Entry; e != nil {
					e.Order, e.Sealed = decision.Before, k%2 == 0
				}
			}
		}
	}
	v = newSheetView(s, Form{})
	v.Checks = map[string][]app.SpotCheck{"wire": {{Day: "2026-05-04", Salt: "00", Rounds: 100_000, Check: "ff"}}}
	return v
}

func samplePagesOfSeals(t *testing.T, ps map[string]page) {
	t.Helper()
	ps["work-sealed"] = &WorkPage{Frame: Frame{Title: "Sealed", Here: "/tasks"}, Sheet: sealedView(t, decision.HandedOver, true)}
	ps["work-spot"] = &WorkPage{Frame: Frame{Title: "On the spot", Here: "/tasks"}, Sheet: sealedView(t, decision.Open, true)}
	ps["judge-sealed"] = newJudgePage(sealedView(t, decision.HandedOver, false))
	ps["judge-spot"] = tutorsPage(sealedView(t, decision.Open, false))
	row := app.SpotRow{Attempt: id(5), Trainee: hostile, Title: "Bay 7", Stage: "wire", Number: 2, StageTitle: "Wire it", Show: "Covers on.", Entitlement: "electrical",
		Codes: []app.SpotCode{{Day: "2026-05-04", Code: "483920175564"}, {Day: "2026-05-05", Code: "000000000001"}}}
	ps["spot"] = &SpotPage{Frame: Frame{Title: "On the spot", Here: "/bench"}, Rows: []SpotRow{{row}}}
	ps["spot-none"] = &SpotPage{Frame: Frame{Title: "On the spot", Here: "/bench"}}
}

func TestWhatPagesSayOfSealedLists(t *testing.T) {
	u := newUI(t)
	ps := map[string]page{}
	samplePagesOfSeals(t, ps)
	for name, want := range map[string][]string{
		"work-sealed":  {"3 of 17 things on the sealed list still to arrive; the marker waits for it", "Late signal is not late work", "was not on your list", "in your hand-over", "Released on the spot by Owen Tranter", "Tag 14 hung."},
		"work-spot":    {"data-codes=", "data-stage=\"wire\"", "not yet confirmed. Nobody", "this does not count. Not what was shown.", "paper tag"},
		"judge-sealed": {"3 of 17 things on the sealed list still to arrive", `action="/attempts/` + id(1).String() + `/go-on-without"`, `/take-in"`, "IMG_9.jpg", "before release", "not on the sealed list", "confirmed <time"},
		"judge-spot":   {"Owen Tranter released it on the spot"},
		"spot":         {"data-codes=", "483920175564", "4 May 2026 and 5 May 2026", "spot.js"},
		"spot-none":    {"No hold point"},
	} {
		html := draw(t, u, ps[name])
		for _, w := range want {
			if !strings.Contains(html, w) {
				t.Errorf("%s does not say %q", name, w)
			}
		}
	}
	for name, not := range map[string][]string{
		"work-sealed": {"/take-in", "/go-on-without"}, "judge-spot": {"data-codes"},
	} {
		html := draw(t, u, ps[name])
		for _, w := range not {
			if strings.Contains(html, w) {
				t.Errorf("%s says %q", name, w)
			}
		}
	}
}
