package pdf_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio/portfoliotest"
)

// What a tutor saw, asked and agreed stands where it belongs, with who stands behind a decision and what became of an appeal.
func TestPortfolioSaysWhatWasSeenAskedAndCountersigned(t *testing.T) {
	src, files := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	when := portfoliotest.Start.Add(30 * time.Hour)
	add := func(k decision.Kind, subject, outcome, words, value string) {
		at.Records = append(at.Records, decision.Record{
			ID: uuid.New(), Attempt: at.ID, Kind: k, Subject: subject, Outcome: outcome, Words: words, Value: value, ByName: "Iris Quaye", Role: "internal_quality_assurer", At: when,
		})
	}
	met := slices.IndexFunc(at.Records, func(r decision.Record) bool { return r.Kind == decision.KindCriterion && r.Subject == "H2/1.1" })
	at.Records[met].Role = decision.RoleCountersigned
	waits := slices.IndexFunc(at.Records, func(r decision.Record) bool { return r.Kind == decision.KindCriterion && r.Subject == "H2/1.2" })
	at.Records[waits].Role = decision.RoleCountersigned
	add(decision.KindCountersign, "H2/1.1", "countersigned", "Seen with Ruben.", at.Records[met].ID.String())
	add(decision.KindQuestion, "H2/2.1", decision.Asked, "How did you choose the meter?", "")
	add(decision.KindQuestion, "H2/2.1", decision.Answered, "By its range.", "How did you choose the meter?")
	add(decision.KindObservation, "isolation", string(decision.SteppedIn), "The lock was not on.", "90 s")
	add(decision.KindOral, "wire", string(decision.Understood), "A broken tester shows dead everywhere.", "Why prove it twice?")
	add(decision.KindAdjustment, "", string(decision.ExtraTime), "Reads slowly.", "2026-05-30")
	add(decision.KindAcknowledge, "", "read", "", "")
	add(decision.KindLeave, "", "withdrawn", "The last day was 20 May 2026.", "decided")
	add(decision.KindReturn, "", "returned", "They came back.", "decided")
	add(decision.KindSuspend, "", "suspended", "It is looked into.", "decided")
	add(decision.KindResume, "", "resumed", "Nothing came of it.", "decided")
	add(decision.KindSetAside, "", "set_aside", "Before registration.", "")
	add(decision.KindAppeal, "", "appealed", "It was on the second sheet.", "")
	add(decision.KindAppealOutcome, "", decision.Rejected, "It is not.", "")

	text := squeezed(unbroken(t, drawPortfolio(t, src, files))) // by columns: a decision stands beside its evidence
	for _, want := range []string{
		"Seen and asked by the tutor", "Observation, Safe isolation: stepped in. Watched for 90 s. “The lock was not on.”",
		"Asked aloud: understood. “Why prove it twice?” “A broken tester shows dead everywhere.”",
		"Asked: “How did you choose the meter?” Answered: “By its range.”",
		"Agreed beforehand: extra time. To be handed over by 30 May 2026. “Reads slowly.”",
		"countersigned", "Seen with Ruben.", "waits for a countersignature", "Iris Quaye, internal quality assurer",
		"The trainee has read the feedback.", "It was on the second sheet.", "appeal rejected", "It is not.",
		"The trainee left, and the attempt was closed as it was. “The last day was 20 May 2026.”", "The withdrawal was taken back, and the attempt goes on from where it was. “They came back.”",
		"The work was suspended. “It is looked into.”", "The suspension was lifted, and the attempt goes on from where it was. “Nothing came of it.”",
		"This attempt was set aside, and counts towards nothing. “Before registration.”",
	} {
		if !strings.Contains(text, squeezed(want)) {
			t.Errorf("%q is not in the portfolio", want)
		}
	}
	// At its stage, and beside each criterion whose decision rests on evidence of that stage.
	if got := strings.Count(text, squeezed("“A broken tester shows dead everywhere.”")); got < 2 {
		t.Errorf("what was asked aloud stands %d times, want it beside its criteria too", got)
	}
	for _, never := range []string{"withdrawn : ", "withdrawn: withdrawn", "set_aside"} {
		if strings.Contains(text, squeezed(never)) {
			t.Errorf("%q is in the portfolio", never)
		}
	}
	if strings.Contains(text, squeezed("Still to be asked")) {
		t.Error("an answered question counts as open")
	}
}
