package pdf_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// Years later a portfolio still says which edition of whose limits an attempt was marked with, who stands for them, and
// that it was marked again under another one.
func TestPortfolioNamesItsRules(t *testing.T) {
	src, files := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	day := func(month time.Month, d int) time.Time { return time.Date(2026, month, d, 0, 0, 0, 0, time.UTC) }
	at.Rules = []portfolio.Rules{
		{Title: "Bay 7 electrical limits", Edition: "2, 2026", From: day(1, 1), To: day(6, 30), EnteredBy: "Marit Solheim", CheckedBy: "Jorun Lie", Demonstration: true},
		{Title: "Bay 7 gas limits", Edition: "1", From: day(4, 1), EnteredBy: "Jorun Lie", CheckedBy: "Marit Solheim"},
	}
	at.Records = append(slices.Clone(at.Records), decision.Record{Kind: decision.KindMarkAgain, Subject: "bay7-electrical", Outcome: "2, 2026", Value: "1, 2025",
		Words: "The second edition held that day.", ByName: "Marit Solheim", Role: "tutor", At: portfoliotest.Start.Add(30 * time.Hour)})
	text := unbroken(t, drawPortfolio(t, src, files))
	for name, want := range map[string]string{
		"edition, days and people": "Bay 7 electrical limits, edition 2, 2026, in force from 1 January 2026 to 30 June 2026 entered by Marit Solheim, checked by Jorun Lie",
		"for demonstration":        "For demonstration; enter your own from the current standard.",
		"without an end":           "Bay 7 gas limits, edition 1, in force from 1 April 2026 entered by Jorun Lie",
		"marked again":             "looked again with edition 2, 2026 of the rule set bay7-electrical, in place of edition 1, 2025.",
		"why":                      "“The second edition held that day.”",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%s: %q is not in the text", name, want)
		}
	}
}
