package app

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
	"witnessmark/internal/table"
)

// The columns of a list of people, in the order in which its cells are read.
const (
	listName = iota
	listSignIn
	listEmail
	listRoles
	listCohort
	listNumber
	listRegistered
)

// PeopleColumns is the columns of a list of people.
func PeopleColumns() []table.Column {
	return []table.Column{
		listName:       {Name: "Name", Needed: true},
		listSignIn:     {Name: "Sign-in name", Needed: true},
		listEmail:      {Name: "E-mail", Also: []string{"Mail", "E-mail address"}, Most: 320},
		listRoles:      {Name: "Roles", Also: []string{"Role"}},
		listCohort:     {Name: "Cohort", Also: []string{"Group"}, Most: 120},
		listNumber:     {Name: "Registration number"},
		listRegistered: {Name: "Registered on"},
	}
}

// readPeople reads a list of people and says everything that is wrong with it by itself.
func readPeople(list []byte) ([]store.PeopleRow, []table.Problem) {
	rows, problems := table.Read(bytes.NewReader(list), PeopleColumns(), table.Limits{})
	seen, out := make(map[string]int, len(rows)), make([]store.PeopleRow, 0, len(rows))
	for _, r := range rows {
		p, wrong := personRow(r)
		problems = append(problems, wrong...)
		if first, ok := seen[p.SignInName]; ok {
			problems = append(problems, table.Problem{Line: r.Line, Column: "Sign-in name", Message: fmt.Sprintf("“%s” stands on line %d already. Keep one row a person.", p.SignInName, first)})
		}
		seen[p.SignInName] = r.Line
		out = append(out, p)
	}
	if len(rows) == 0 && len(problems) == 0 {
		problems = []table.Problem{{Message: "There is nobody below the headings of this list."}}
	}
	table.Sort(problems)
	return out, problems
}

// personRow puts a row of the list into what is kept.
func personRow(r table.Row) (p store.PeopleRow, problems []table.Problem) {
	add := func(column, message string, a ...any) {
		problems = append(problems, table.Problem{Line: r.Line, Column: column, Message: fmt.Sprintf(message, a...)})
	}
	n := NewPerson{Name: r.Cells[listName], SignInName: r.Cells[listSignIn], Email: r.Cells[listEmail]}
	for _, word := range strings.FieldsFunc(r.Cells[listRoles], func(c rune) bool { return strings.ContainsRune(",;/|+\n", c) }) {
		if role := roleNamed(word); role != "" {
			n.Roles = append(n.Roles, role)
		} else {
			add("Roles", "“%s” is no role here. Write %s.", strings.TrimSpace(word), rolesInWords())
		}
	}
	if len(n.Roles) == 0 {
		n.Roles = []account.Role{account.Trainee}
	}
	if f, ok := fault.As(n.check()); ok {
		heads := map[string]string{"name": "Name", "sign_in_name": "Sign-in name", "email": "E-mail", "roles": "Roles"}
		for _, x := range f.Fields {
			if x.Name != "name" && r.Cells[listSignIn] != "" || x.Name == "email" { // that a cell is empty was said already
				add(heads[x.Name], "%s", x.Message)
			}
		}
	}
	p = store.PeopleRow{Line: r.Line, Name: n.Name, SignInName: n.SignInName, Email: n.Email, Cohort: r.Cells[listCohort], Number: r.Cells[listNumber]}
	for _, role := range n.Roles {
		p.Roles = append(p.Roles, string(role))
	}
	trainee := slices.Contains(n.Roles, account.Trainee)
	switch {
	case trainee:
		p.Part = store.PartTrainee
	case slices.Contains(n.Roles, account.Tutor):
		p.Part = store.PartTutor
	case p.Cohort != "":
		add("Cohort", "Trainees and tutors belong to a cohort; %s is neither.", n.Name)
	}
	on := r.Cells[listRegistered]
	switch {
	case p.Number == "" && on == "":
	case !trainee:
		add("Registration number", "Only a trainee is registered with the awarding organisation.")
	case p.Number == "" || on == "":
		add("Registered on", "Give both the registration's number and its day, or neither.")
	default:
		if p.RegisteredOn = listDay(on); p.RegisteredOn.IsZero() {
			add("Registered on", noListDay, on)
		}
	}
	return p, problems
}

// roleNamed is the role that a word of a list means; "" where there is none.
func roleNamed(word string) account.Role {
	word = strings.ToLower(strings.TrimSpace(word))
	for _, r := range account.Roles() {
		if word == r.Words() || word == string(r) {
			return r
		}
	}
	return map[string]account.Role{"assessor": account.Tutor, "manager": account.Manager, "quality assurer": account.QualityAssurer}[word]
}

func rolesInWords() string {
	var words []string
	for _, r := range account.Roles() {
		words = append(words, r.Words())
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// noListDay is said of a cell that listDay cannot read.
const noListDay = "“%s” is no day. Write it as 2026-09-01 or 1/9/2026, the day first."

// listDay reads a day as people write them in a list at home, the day before the month; the zero time where it is none.
func listDay(s string) time.Time {
	for _, form := range []string{time.DateOnly, "2/1/2006", "2.1.2006", "2 January 2006", "2 Jan 2006"} {
		if t, err := time.Parse(form, s); err == nil && t.Year() >= 1950 && t.Year() <= 2200 {
			return t
		}
	}
	return time.Time{}
}
