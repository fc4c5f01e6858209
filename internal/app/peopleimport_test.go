package app_test

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

const list = `Name,Sign-in name,E-mail,Roles,Cohort,Registration number,Registered on
Siân Pugh,sian,sian@example.org,,Heating 1,AO-1,2026-02-01
"Ellis, Jo",jo,,trainee,Heating 1,AO-2,1/2/2026
Owen Tranter,owen,,tutor; internal quality assurer,Heating 1,,
Nell Farrow,nell,,technician,,,
`

func TestPeopleByList(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	plan, err := c.CheckPeople(ctx, c.manager, []byte(list))
	must(t, err)
	if len(plan.Problems) > 0 || plan.People != 4 || len(plan.New) != 4 || len(plan.Cohorts) != 1 || plan.Members != 3 || plan.Registrations != 2 {
		t.Fatalf("the plan is %+v", plan)
	}
	before, err := c.People(ctx, c.manager)
	must(t, err)
	if len(before) != 5 {
		t.Fatalf("showing the plan left %d people, want the 5 of before", len(before))
	}
	_, err = c.ImportPeople(ctx, c.manager, []byte(list), "another")
	wantKind(t, "without having seen the plan", err, fault.KindConflict)
	_, err = c.ImportPeople(ctx, c.manager, []byte(list), plan.Digest)
	must(t, err)
	people, err := c.People(ctx, c.manager)
	must(t, err)
	if len(people) != 9 {
		t.Fatalf("%d people, want 9", len(people))
	}
	for _, p := range people {
		if p.SignInName != "jo" {
			continue
		}
		f, err := c.PersonFile(ctx, c.manager, p.ID)
		must(t, err)
		if p.Name != "Ellis, Jo" || len(f.Awards) != 1 || f.Awards[0].RegisteredOn.Format("2006-01-02") != "2026-02-01" || len(f.Cohorts) != 1 || f.Cohorts[0].Name != "Heating 1" {
			t.Errorf("Jo is kept as %+v", f)
		}
	}

	// Twice without doubling.
	plan, err = c.CheckPeople(ctx, c.manager, []byte(list))
	must(t, err)
	if n := plan.TakenIn; n.People+n.Changed+n.Roles+n.Members+n.Registrations != 0 || len(n.Cohorts)+len(plan.New)+len(plan.Changes) != 0 {
		t.Errorf("the same list once more would change %+v", plan)
	}
	_, err = c.ImportPeople(ctx, c.manager, []byte(list), plan.Digest)
	must(t, err)

	// Another name is shown first.
	renamed := strings.Replace(list, "Siân Pugh", "Siân Hughes", 1)
	_, err = c.ImportPeople(ctx, c.manager, []byte(renamed), plan.Digest)
	wantKind(t, "a name that nobody was shown", err, fault.KindConflict)
	plan, err = c.CheckPeople(ctx, c.manager, []byte(renamed))
	must(t, err)
	if len(plan.Changes) != 1 || plan.Changes[0].Was != "Siân Pugh" || plan.Changes[0].Now != "Siân Hughes" || plan.Changed != 1 {
		t.Errorf("the plan is %+v", plan)
	}
	_, err = c.ImportPeople(ctx, c.manager, []byte(renamed), plan.Digest)
	must(t, err)
}

func TestAListOfPeopleThatIsNotRight(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	far, err := c.db.CreateCentre(ctx, "FAR", "Far Yard", c.now)
	must(t, err)
	_, err = c.InviteManager(ctx, far.ID, app.NewPerson{Name: "Far Away", SignInName: "far"})
	must(t, err)
	const head = "Name,Sign-in name,E-mail,Roles,Cohort,Registration number,Registered on\n"
	for name, test := range map[string]struct{ row, column, says string }{
		"a sign-in name with a space": {"Jo,jo ellis,,,,,", "Sign-in name", "small letters"},
		"no address":                  {"Jo,jo,at home,,,,", "E-mail", "one e-mail address"},
		"an unknown role":             {"Jo,jo,,plumber,,,", "Roles", "“plumber” is no role"},
		"a cohort for nobody":         {"Jo,jo,,technician,Heating 1,,", "Cohort", "Jo is neither"},
		"a number without a day":      {"Jo,jo,,,,AO-1,", "Registered on", "both"},
		"a day that is none":          {"Jo,jo,,,,AO-1,2026-02-30", "Registered on", "no day"},
		"a tutor registered":          {"Jo,jo,,tutor,,AO-1,2026-02-01", "Registration number", "Only a trainee"},
		"twice":                       {"Ann,ann,,,,,\nJo,ann,,,,,", "Sign-in name", "line 2 already"},
		"a name of another centre":    {"Far,far,,,,,", "Sign-in name", "another centre"},
		"a tutor as trainee":          {"Tess,tess,,trainee,Monday evening,,", "Cohort", "trainee and tutor"},
	} {
		t.Run(name, func(t *testing.T) {
			plan, err := c.CheckPeople(ctx, c.manager, []byte(head+test.row+"\n"))
			must(t, err)
			if len(plan.Problems) != 1 || plan.Problems[0].Column != test.column || !strings.Contains(plan.Problems[0].Message, test.says) || plan.Problems[0].Line < 2 {
				t.Errorf("problems are %+v, want one on %q that says %q", plan.Problems, test.column, test.says)
			}
			_, err = c.ImportPeople(ctx, c.manager, []byte(head+test.row+"\n"), plan.Digest)
			wantKind(t, "taking it in all the same", err, fault.KindInvalid)
		})
	}
	if people, err := c.People(ctx, c.manager); err != nil || len(people) != 5 {
		t.Errorf("%d people (%v), want the 5 of before", len(people), err)
	}
	for _, who := range []account.Caller{c.tutor, c.trainee} {
		_, err := c.CheckPeople(ctx, who, []byte(list))
		wantKind(t, who.Name, err, fault.KindForbidden)
	}
}

// A big list goes in whole, through the policies.
func TestFiveThousandPeople(t *testing.T) {
	c := newCentre(t)
	var b strings.Builder
	b.WriteString("Name;Sign-in name;Cohort;Registration number;Registered on\r\n")
	for i := range 5000 {
		fmt.Fprintf(&b, "Trainee %d;trainee.%d;Cohort %d;AO-%d;2026-01-05\r\n", i, i, i%200, i)
	}
	plan, err := c.CheckPeople(t.Context(), c.manager, []byte(b.String()))
	must(t, err)
	if plan, err = c.ImportPeople(t.Context(), c.manager, []byte(b.String()), plan.Digest); err != nil || plan.People != 5000 || plan.Members != 5000 || plan.Registrations != 5000 || len(plan.Cohorts) != 200 {
		t.Errorf("%v: %+v", err, plan.TakenIn)
	}
}

func TestInvitationsOfACohort(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	_, err := c.InviteCohort(ctx, c.manager, c.cohort)
	wantKind(t, "where everybody has a password", err, fault.KindConflict)
	plan, err := c.CheckPeople(ctx, c.manager, []byte(list))
	must(t, err)
	_, err = c.ImportPeople(ctx, c.manager, []byte(list), plan.Digest)
	must(t, err)
	cohorts, err := c.Cohorts(ctx, c.manager)
	must(t, err)
	invited, err := c.InviteCohort(ctx, c.manager, cohorts[0].ID) // Heating 1 comes before Monday evening
	must(t, err)
	if len(invited) != 3 || invited[0].Name != "Ellis, Jo" || invited[0].SignInName != "jo" {
		t.Fatalf("invited are %+v", invited)
	}
	who, err := c.Invited(ctx, invited[0].Token) // as a mail scanner would
	must(t, err)
	if who.SignInName != "jo" {
		t.Errorf("the link is %s's", who.SignInName)
	}
	_, err = c.AcceptInvitation(ctx, invited[0].Token, password)
	must(t, err)
	_, err = c.AcceptInvitation(ctx, invited[0].Token, password)
	wantKind(t, "twice", err, fault.KindConflict)
	if invited, err = c.InviteCohort(ctx, c.manager, cohorts[0].ID); err != nil || len(invited) != 2 {
		t.Errorf("then %d wait (%v), want 2", len(invited), err)
	}
	_, err = c.InviteCohort(ctx, c.tutor, c.cohort)
	wantKind(t, "a tutor", err, fault.KindForbidden)
}
