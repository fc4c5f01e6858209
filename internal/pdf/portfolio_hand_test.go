package pdf_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// What a reading was taken with, who helped, the label's photo and the paper sheet's are said where they belong, and stand
// nowhere as things without a place.
func TestPortfolioSaysWithWhat(t *testing.T) {
	src, files := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	in := decision.Instrument{ID: uuid.MustParse("6f1c2a3e-0b1d-4c5e-8f70-0123456789ab"), Kind: "contact thermometer", Serial: "TC-4471", Due: "2026-04-30"}
	at.Instruments = []decision.Instrument{in}
	i := slices.IndexFunc(at.Entries, func(e portfolio.Entry) bool { return e.Item == "tf" && e.Phase == brief.AsLeft })
	at.Entries[i].With = portfolio.ReadWith{Instrument: in, OutOfDate: true}
	at.Entries = append(at.Entries,
		portfolio.Entry{Entry: marking.Entry{Item: decision.HelpItem("wire"), Text: "Jo held the ladder."}, ReceivedAt: portfoliotest.Start},
		portfolio.Entry{Entry: marking.Entry{Item: decision.HelpItem("wire"), Text: "Jo held the ladder; I wired."}, ReceivedAt: portfoliotest.Start})
	photo := at.Evidence[slices.IndexFunc(at.Evidence, func(e portfolio.Evidence) bool { return e.MediaType == "image/jpeg" })]
	label, sheet := photo, photo
	label.ID, label.Item, label.Caption = uuid.New(), decision.LabelItem(in.ID), "The label of it"
	sheet.ID, sheet.Item, sheet.Caption = uuid.New(), "tf", "My note-book"
	at.Evidence = append(at.Evidence, label, sheet)

	text := strings.Join(flat(pages(t, drawPortfolio(t, src, files))), " ")
	for _, want := range []string{
		"contact thermometer, serial TC-4471 calibration due 30 April 2026",
		"With: contact", "TC-4471; its", "had run out", // a narrow column of a table, whose lines stand among others'
		"Who helped, or did part of it: “Jo held the ladder; I wired.”", "Said before of who helped, superseded",
		"Labels of the instruments", "The label of it", "From paper, photo of the sheet:", "My note-book",
	} {
		if !strings.Contains(squeezed(text), squeezed(want)) {
			t.Errorf("%q is not in the portfolio", want)
		}
	}
	if strings.Contains(squeezed(text), squeezed("Handed in without a place in the brief")) {
		t.Error("something of it counts as having no place")
	}
}
