package app_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// givenOut is what an export has, by the name of the file.
func (c *centre) givenOut(t *testing.T, by account.Caller, person uuid.UUID) map[string]string {
	t.Helper()
	x, err := c.ExportPerson(t.Context(), by, person, false)
	must(t, err)
	var b bytes.Buffer
	must(t, x.Write(&b))
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	must(t, err)
	out := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		must(t, err)
		text, err := io.ReadAll(r)
		must(t, err)
		out[f.Name] = string(text)
	}
	return out
}

// An export has the claims of prior learning with what proves them, and of inquiries those that are over and that whoever gives it
// out may see, with other people covered.
func TestExportOfSmallFiles(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.set(t)
	_, err := c.ExportPerson(ctx, c.tutor, c.trainee.Person, false)
	wantKind(t, "given out by a tutor", err, fault.KindForbidden)
	prior, err := c.ClaimPrior(ctx, c.trainee, app.NewPrior{Trainee: c.trainee.Person, Unit: "H2", Criteria: []string{"H2/1.1"}, Words: "Two years with a firm."})
	must(t, err)
	proof := picture(t, 3)
	must(t, c.AddPriorFile(ctx, c.trainee, prior, "letter.jpg", bytes.NewReader(proof)))
	must(t, c.DecidePrior(ctx, c.tutor, prior, "H2/1.1", decision.Met, "The letter says so."))

	over, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, "His sheet is like that of Person ruben.")
	must(t, err)
	must(t, c.NameInInquiry(ctx, c.manager, over, c.tutor.Person))
	must(t, c.NoteInquiry(ctx, c.tutor, over, "ruben told me: “he looked at mine”. tom says that he did not."))
	must(t, c.Suspend(ctx, c.manager, over, attempt))
	must(t, c.LiftSuspension(ctx, c.manager, over, attempt, "It can go on."))
	must(t, c.CloseInquiry(ctx, c.manager, over, store.NothingFound, "Mara Quill compared both sheets."))
	_, err = c.OpenInquiry(ctx, c.manager, c.trainee.Person, "CANARY under way")
	must(t, err)
	_, err = c.OpenInquiry(ctx, c.manager, c.second.Person, "CANARY of another")
	must(t, err)

	mine := c.givenOut(t, c.trainee, c.trainee.Person)
	var found []struct {
		Suspected, Outcome, Found string
		Notes                     []struct{ Words string }
		Attempts                  []struct{ ID uuid.UUID }
	}
	must(t, json.Unmarshal([]byte(mine["inquiries.json"]), &found))
	if len(found) != 1 {
		t.Fatalf("inquiries: %s", mine["inquiries.json"])
	}
	if f := found[0]; f.Suspected != "His sheet is like that of [somebody else]." || f.Outcome != "nothing_found" || f.Found != "[somebody else] compared both sheets." ||
		len(f.Notes) != 1 || f.Notes[0].Words != "[somebody else] told me: [somebody else's words]. tom says that he did not." || len(f.Attempts) != 1 || f.Attempts[0].ID != attempt {
		t.Errorf("the inquiry that is over: %+v", f)
	}
	claim := mine["prior-learning/1/claim.json"]
	for _, want := range []string{"Two years with a firm.", "H2/1.1", `"outcome": "met"`, "The letter says so.", "letter.jpg", "prior-learning/1/1.jpg"} {
		if !strings.Contains(claim, want) {
			t.Errorf("%q is not in the claim: %s", want, claim)
		}
	}
	if mine["prior-learning/1/1.jpg"] != string(proof) {
		t.Error("what proves the claim is not as it was received")
	}
	if !strings.Contains(mine["person.json"], "Inquiries that are still under way") {
		t.Errorf("it does not say what is left away: %s", mine["person.json"])
	}

	// A manager whom no inquiry names learns of none, and the person of none that is under way.
	other := c.person(t, "mika", account.Manager)
	theirs := c.givenOut(t, other, c.trainee.Person)
	if strings.TrimSpace(theirs["inquiries.json"]) != "[]" {
		t.Errorf("a manager who is not named gives out %s", theirs["inquiries.json"])
	}
	if named := c.givenOut(t, c.manager, c.trainee.Person); named["inquiries.json"] != mine["inquiries.json"] {
		t.Errorf("a manager who is named gives out %s", named["inquiries.json"])
	}
	for name, text := range mine {
		if strings.Contains(text, "CANARY") {
			t.Errorf("%s tells of an inquiry that it must not", name)
		}
	}
}
