package ui

import (
	"strings"
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// watchSheet has a tutor agree something, watch and ask.
func watchSheet(s *app.Sheet) {
	by := func(k decision.Kind, subject, outcome, words, value string) decision.Record {
		return decision.Record{Kind: k, Subject: subject, Outcome: outcome, Words: words, Value: value, ByName: "Owen Tranter", At: when}
	}
	s.Records = append(s.Records,
		by(decision.KindAdjustment, "", string(decision.ExtraTime), "Reads slowly.", "2026-05-20"),
		by(decision.KindAdjustment, "why", string(decision.OtherEvidence), "Dyslexia.", "Told aloud."),
		by(decision.KindObservation, "continuity", string(decision.SteppedIn), "The lead was still live.", "160 s"),
		by(decision.KindObservation, "wire", string(decision.Seen), "", ""),
		by(decision.KindOral, "wire", string(decision.InPart), "Because of the shock.", "Why dead first?"),
	)
	s.SheetSetting = app.SheetSetting{Attempts: 2, Observer: "Owen Tranter", InsteadOf: "Owen Tranter", Adjusted: s.Records[len(s.Records)-5 : len(s.Records)-3], MayAdjust: true, MayObserve: true}
	for i := range s.Stages {
		for j := range s.Stages[i].Items {
			if it := &s.Stages[i].Items[j]; it.Key == "why" {
				it.Otherwise = &s.Adjusted[1]
			}
		}
	}
}

func TestWhatTheWorkshopPageSays(t *testing.T) {
	html := draw(t, newUI(t), tutorsPage(sampleView(t, decision.Open, false)))
	for _, want := range []string{
		"attempt 1 of 2", "Owen Tranter observes.", "Why you do it in place of Owen Tranter", "Extra time: until 20 May 2026.", "is shown in another way: Told aloud.", "Shown in another way, as was agreed: Told aloud.",
		"The criteria ask for the same as of everybody.", "watched 2 min 40 s", ">stepped in<", "The lead was still live.", "Why dead first?", ">understood in part<",
		`action="/attempts/` + id(1).String() + `/observations"`, `value="taken_back"`, `id="stop-now"`, `data-events="/cohorts/` + id(3).String() + `/events"`, `type="password"`,
	} {
		if !strings.Contains(html, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func TestWordsOfAttemptsAndTimes(t *testing.T) {
	for _, c := range []struct {
		number, of int
		want       string
	}{{1, 0, ""}, {2, 0, "attempt 2"}, {1, 3, "attempt 1 of 3"}, {3, 2, "attempt 3, one more than the 2 that were set"}} {
		if got := attemptOf(c.number, c.of); got != c.want {
			t.Errorf("attempt %d of %d: %q, want %q", c.number, c.of, got, c.want)
		}
	}
	for value, want := range map[string]string{"": "", "1 s": "1 second", "59 s": "59 seconds", "60 s": "1 min", "61 s": "1 min 1 s", "about noon": "about noon"} {
		if got := (NoteView{Record: decision.Record{Kind: decision.KindObservation, Value: value}}).Took(); got != want {
			t.Errorf("%q: %q, want %q", value, got, want)
		}
	}
}
