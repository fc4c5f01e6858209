package ui

import (
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// A claim's pages and its table name the criteria that rest on prior learning.
func TestAClaimNamesWhatRestsOnPriorLearning(t *testing.T) {
	s := newSite(t)
	s.everybody(t)
	ctx, trainee, manager := t.Context(), s.people["trainee"], s.in(t, "manager")
	prior, err := s.ClaimPrior(ctx, trainee, app.NewPrior{Trainee: trainee.Person, Unit: "H3", Criteria: []string{"H3/1.10"}, Words: "Three years with a firm."})
	must(t, err)
	must(t, s.AddPriorFile(ctx, trainee, prior, "letter.pdf", strings.NewReader("%PDF-1.4\n%%EOF\n")))
	must(t, s.DecidePrior(ctx, s.people["tutor"], prior, "H3/1.10", decision.Met, "The letter says so."))
	must(t, s.LookAtPrior(ctx, s.people["assurer"], prior, app.LookPrior{Criteria: []string{"H3/1.10"}, Outcome: decision.Agree}))
	_, err = s.AddAwardRegistration(ctx, s.people["manager"], trainee.Person, app.NewAwardRegistration{Number: "AO-7", RegisteredOn: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)})
	must(t, err)
	manager.get(t, "/claims/ready?unit=H3").want(t, 200, "By prior learning", `<td data-head="By prior learning">H3/1.10</td>`)
	claim, err := s.MakeClaim(ctx, s.people["manager"], "H3", []uuid.UUID{trainee.Person}, "")
	must(t, err)
	manager.get(t, "/claims/"+claim.String()).want(t, 200, `<td data-head="By prior learning">H3/1.10</td>`)
	manager.get(t, "/claims/"+claim.String()+"/file").want(t, 200, "claimed by,by prior learning", ",H3/1.10")
}

// Of a claim from before that was kept the page says so: it is not to be taken for none.
func TestWhatAnOldClaimRestsOn(t *testing.T) {
	for want, prior := range map[string][]string{"not kept then": nil, "none": {}, "H2/1.1, H2/1.2": {"H2/1.1", "H2/1.2"}} {
		if got := (&ClaimPage{}).PriorLearning(app.ClaimItem{Prior: prior}); got != want {
			t.Errorf("%v reads %q, want %q", prior, got, want)
		}
	}
}
