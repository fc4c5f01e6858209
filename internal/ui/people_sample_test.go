package ui

import (
	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/table"
)

// samplePagesOfPeople adds the pages of a person and of conflicts of interest, with nothing, something and hostile text.
func samplePagesOfPeople(ps map[string]page) {
	for name, text := range map[string]string{"person": "Maya Ellison", "person-hostile": hostile} {
		p := &PersonPage{Frame: Frame{Title: "Maya Ellison", Here: "/people"}, May: true, Units: []Option{{Text: "Every unit"}}, Kinds: []Option{{Value: "gas", Text: "Gas"}},
			Remarks: []Hint{"Not registered with the awarding organisation."}}
		p.File.ID, p.File.Name, p.File.SignInName, p.File.Roles = id(7), text, "maya", []account.Role{account.Trainee, account.Tutor}
		p.Held = []HeldRegistration{
			{account.Registration{Kind: "gas", Number: text, ValidFrom: when, ValidTo: when.AddDate(1, 0, 0)}, when},
			{account.Registration{Kind: account.AssessorAward, Number: "12", ValidFrom: when, ValidTo: account.Endless()}, when},
		}
		p.File.Awards = []app.AwardRegistration{{ID: id(8), Number: text, RegisteredOn: when}, {ID: id(9), Unit: "H2", Number: "9", RegisteredOn: when, EndsOn: when}}
		ps[name] = p
	}
	ps["people-list"] = &PeopleListPage{Frame: Frame{Title: "People from a list", Here: "/people"}, Send: ListSender{At: "/people/list", Rows: "ten thousand", Columns: app.PeopleColumns()}}
	bad := make([]table.Problem, 300)
	for i := range bad {
		bad[i] = table.Problem{Line: i + 2, Column: "Name", Message: hostile}
	}
	ps["people-list-problems-hostile"] = &PeopleListPage{Frame: Frame{Title: "People from a list", Here: "/people"}, Send: ListSender{Columns: app.PeopleColumns(), Checked: true}, Problems: ListProblems{bad}}
	plan := app.PeoplePlan{Rows: 2, Digest: "d", New: []app.PeopleRow{{Line: 2, Name: hostile, SignInName: "maya", Cohort: hostile, Number: "1", RegisteredOn: when}},
		Changes: []app.PersonChange{{Line: 3, SignInName: "jo", Was: hostile, Now: "Jo", Renamed: true, Readdressed: true, NowEmail: hostile}}}
	plan.People, plan.Members, plan.Roles, plan.Registrations, plan.Cohorts = 1, 1, 2, 1, []string{hostile}
	ps["people-list-plan-hostile"] = &PeopleListPage{Frame: Frame{Title: "People from a list", Here: "/people"}, Send: ListSender{Columns: app.PeopleColumns(), Checked: true}, Plan: plan, Text: hostile}
	ps["units-empty"] = &UnitsPage{Frame: Frame{Title: "Qualification units", Here: "/centre"}}
	unit := app.Unit{Code: "H2", Title: hostile, Edition: hostile, Outcomes: []app.Outcome{{Code: "1", Title: hostile, Criteria: []app.Criterion{{Code: "1.1", Text: hostile, Range: []string{hostile}}}}}}
	ps["units-hostile"] = &UnitsPage{Frame: Frame{Title: "Qualification units", Here: "/centre"}, May: true, Units: unitViews([]app.Unit{unit}, when)}
	ps["unit-form-hostile"] = &EnterUnitPage{Frame: Frame{Title: "An edition of a unit", Here: "/centre"}, Was: unit, Text: app.UnitText(unit.Outcomes), Problems: ListProblems{bad[:2]}}
	ps["invitations-hostile"] = &InvitationsPage{Frame: Frame{Title: "Invitations", Here: "/cohorts"}, Cohort: "/cohorts", Invitations: []PrintedInvitation{{InvitationLink{Name: hostile, Address: "https://x/invitation/abc", Expires: when}, "maya"}}}
	ps["person-empty"] = &PersonPage{Frame: Frame{Title: "Maya Ellison", Here: "/people"}}
	ps["conflicts-empty"] = &ConflictsPage{Frame: Frame{Title: "Conflicts of interest", Here: "/centre"}, People: []Option{{Text: "choose"}}}
	ps["conflicts-hostile"] = &ConflictsPage{Frame: Frame{Title: "Conflicts of interest", Here: "/centre"}, People: []Option{{Text: "choose"}}, MayEnd: true, Whose: []Option{{Text: hostile}},
		Conflicts: []app.Conflict{{ID: id(1), PersonName: hostile, OtherName: "Owen Tranter", Words: hostile, DeclaredByName: "Owen Tranter", DeclaredAt: when},
			{ID: id(2), PersonName: "Jo", OtherName: "Owen Tranter", Words: "A firm.", DeclaredByName: "Jo", DeclaredAt: when, EndedByName: "Mara", EndedAt: when, EndedWords: hostile}}}
}
