package app

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// exportedPrior is prior-learning/N/claim.json.
type exportedPrior struct {
	ID        uuid.UUID               `json:"id"`
	Unit      string                  `json:"unit"`
	Criteria  []string                `json:"criteria"`
	Words     string                  `json:"words"`
	By        string                  `json:"claimed_by"`
	At        time.Time               `json:"claimed_at"`
	Files     []exportedFile          `json:"files"`
	Decisions []exportedPriorDecision `json:"decisions"`
}

type exportedPriorDecision struct {
	Criterion string           `json:"criterion"`
	Outcome   decision.Outcome `json:"outcome"`
	Words     string           `json:"words,omitempty"`
	By        string           `json:"by"`
	At        time.Time        `json:"at"`
	Look      *exportedLook    `json:"quality_assurer,omitempty"`
}

// exportedLook is what an internal quality assurer found of what was recognised.
type exportedLook struct {
	Outcome decision.SampleOutcome `json:"outcome"`
	Words   string                 `json:"words,omitempty"`
	By      string                 `json:"by"`
	At      time.Time              `json:"at"`
}

// exportedInquiry is one of inquiries.json: an inquiry that is over, with other people covered.
type exportedInquiry struct {
	ID        uuid.UUID             `json:"id"`
	OpenedAt  time.Time             `json:"opened_at"`
	Suspected string                `json:"suspected"`
	Outcome   store.InquiryOutcome  `json:"outcome"`
	Found     string                `json:"found"`
	ClosedAt  time.Time             `json:"closed_at"`
	Attempts  []exportedFrozen      `json:"attempts"`
	Notes     []exportedInquiryNote `json:"notes"`
}

type exportedFrozen struct {
	ID     uuid.UUID `json:"id"`
	Brief  string    `json:"brief"`
	Number int       `json:"number"`
}

// exportedInquiryNote does not say who wrote it.
type exportedInquiryNote struct {
	At    time.Time `json:"at"`
	Words string    `json:"words"`
}

// leftAway says what an export does not have. It says the same whether or not there is such a thing, so that nobody learns from it of
// an inquiry that is still under way.
func leftAway() []string {
	return []string{
		"Inquiries that are still under way, and for anybody but the person themselves those that do not name whoever gave this out.",
		"Who wrote what in an inquiry, other people's names in it, and what stands in quotation marks, which is what others said.",
		"What the person wrote or decided about others: it is kept with those.",
	}
}

// exportFiles adds the small files about a person: claims of prior learning, and inquiries that are over.
func (a *App) exportFiles(ctx context.Context, c account.Caller, p store.Person, x *PersonExport) error {
	priors, err := a.db.PriorSheetsOf(ctx, c.Centre, p.ID)
	if err != nil {
		return err
	}
	for i, s := range priors {
		x.priors = append(x.priors, exportedClaim(i+1, s))
	}
	inquiries, err := a.db.InquiriesOn(ctx, c.Centre, p.ID, c.Person)
	if err != nil {
		return err
	}
	names, err := a.db.NamesBut(ctx, c.Centre, p.ID)
	if err != nil {
		return err
	}
	cover := newNameCover(p.Name, names)
	x.inquired = []exportedInquiry{}
	for _, i := range inquiries {
		x.inquired = append(x.inquired, exportedOver(i, cover))
	}
	return nil
}

// exportedClaim puts a claim of prior learning into the words of the export.
func exportedClaim(n int, s store.PriorSheet) exportedPrior {
	x := exportedPrior{ID: s.ID, Unit: s.Unit, Criteria: s.Criteria, Words: s.Words, By: s.ByName, At: s.At, Files: []exportedFile{}, Decisions: []exportedPriorDecision{}}
	for i, f := range s.Files {
		x.Files = append(x.Files, exportedFile{Name: f.Name, SHA256: f.Digest, ReceivedAt: f.At, File: fmt.Sprintf("prior-learning/%d/%d%s", n, i+1, extension(f.MediaType))})
	}
	for _, d := range s.Decisions {
		e := exportedPriorDecision{Criterion: d.Criterion, Outcome: d.Outcome, Words: d.Words, By: d.ByName, At: d.At}
		if k := d.Look; k != nil {
			e.Look = &exportedLook{k.Outcome, k.Words, k.ByName, k.At}
		}
		x.Decisions = append(x.Decisions, e)
	}
	return x
}

// exportedOver puts an inquiry that is over into the words of the export, with other people covered.
func exportedOver(i store.ClosedInquiry, c nameCover) exportedInquiry {
	x := exportedInquiry{ID: i.ID, OpenedAt: i.OpenedAt, Suspected: c.cover(i.Words), Outcome: i.Outcome, Found: c.cover(i.Found), ClosedAt: i.ClosedAt,
		Attempts: []exportedFrozen{}, Notes: []exportedInquiryNote{}}
	for _, at := range i.Attempts {
		x.Attempts = append(x.Attempts, exportedFrozen{at.Attempt, at.Title, at.Number})
	}
	for _, n := range i.Notes {
		x.Notes = append(x.Notes, exportedInquiryNote{n.At, c.cover(n.Words)})
	}
	return x
}
