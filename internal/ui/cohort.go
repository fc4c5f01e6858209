package ui

import (
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// CohortsPage lists cohorts.
type CohortsPage struct {
	Frame
	Cohorts []CohortRow
	Form    Form
	MayAdd  bool
}

func (*CohortsPage) template() string { return "cohorts" }

// CohortRow is one cohort with its counts.
type CohortRow struct {
	ID                       uuid.UUID
	Name                     string
	Trainees, Tasks, Waiting int
}

// MembersPage is who belongs to a cohort.
type MembersPage struct {
	Frame
	Cohort           app.Cohort
	Form             Form
	Tutors, Trainees []Option // who may be added
	May              bool
}

func (*MembersPage) template() string { return "members" }

func (u *UI) cohortRows(c echo.Context, who account.Caller) ([]CohortRow, error) {
	list, err := u.app.Cohorts(c.Request().Context(), who)
	if err != nil {
		return nil, err
	}
	rows := make([]CohortRow, 0, len(list))
	for _, k := range list {
		rows = append(rows, CohortRow{ID: k.ID, Name: k.Name, Trainees: k.Trainees, Tasks: k.Tasks, Waiting: k.Waiting})
	}
	return rows, nil
}

func (u *UI) cohorts(c echo.Context, who account.Caller) error { return u.showCohorts(c, who, Form{}) }

func (u *UI) showCohorts(c echo.Context, who account.Caller, f Form) error {
	rows, err := u.cohortRows(c, who)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &CohortsPage{
		Frame: Frame{Title: "Cohorts", Here: "/cohorts"}, Cohorts: rows, Form: f.For("cohort"), MayAdd: who.Has(account.Manager),
	})
}

type cohortForm struct {
	Name string `form:"name" validate:"required,max=500" say:"Give the cohort a name, at most 120 letters."`
}

func (u *UI) addCohort(c echo.Context, who account.Caller) error {
	var f cohortForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		id, err = u.app.AddCohort(c.Request().Context(), who, f.Name)
	}
	if err != nil {
		return u.again(c, err, "cohort", func(form Form) error { return u.showCohorts(c, who, form) })
	}
	return u.taken(c, "/cohorts/"+id.String()+"/members", "The cohort is there. Now say who belongs to it.")
}

func (u *UI) members(c echo.Context, who account.Caller) error { return u.showMembers(c, who, Form{}) }

func (u *UI) showMembers(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	k, err := u.app.Cohort(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &MembersPage{Frame: Frame{Title: "Members of " + k.Name, Here: "/cohorts"}, Cohort: k, Form: f, May: who.Has(account.Manager)}
	if p.May {
		if err := u.addable(c, who, p); err != nil {
			return err
		}
	}
	return u.render(c, who, f.Status(), p)
}

// addable lists whom a manager may add: those with the role who are not members yet.
func (u *UI) addable(c echo.Context, who account.Caller, p *MembersPage) error {
	people, err := u.app.People(c.Request().Context(), who)
	if err != nil {
		return err
	}
	in := map[string]bool{}
	for _, m := range p.Cohort.Tutors {
		in["tutor "+m.Person.String()] = true
	}
	for _, m := range slices.Concat(p.Cohort.Trainees, p.Cohort.Left) {
		in["trainee "+m.Person.String()] = true
	}
	for _, x := range people {
		o := Option{Value: x.ID.String(), Text: x.Name}
		if x.Caller().Has(account.Tutor) && !in["tutor "+o.Value] {
			p.Tutors = append(p.Tutors, o)
		}
		if x.Caller().Has(account.Trainee) && !in["trainee "+o.Value] {
			p.Trainees = append(p.Trainees, o)
		}
	}
	return nil
}

type memberForm struct {
	Person uuid.UUID `form:"person" validate:"required" say:"Choose a person."`
	Part   string    `form:"part" validate:"oneof=trainee tutor" say:"Choose trainee or tutor."`
}

func (u *UI) addMember(c echo.Context, who account.Caller) error {
	var f memberForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil && f.Part == "tutor" {
		err = u.app.AddMember(c.Request().Context(), who, id, f.Person, "tutor")
	} else if err == nil {
		err = u.app.AddMember(c.Request().Context(), who, id, f.Person, "trainee")
	}
	return u.memberForm(c, who, err, "add-"+f.Part, "They belong to the cohort now.")
}

func (u *UI) removeMember(c echo.Context, who account.Caller) error {
	var f memberForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil && f.Part == "tutor" {
		err = u.app.RemoveMember(c.Request().Context(), who, id, f.Person, "tutor")
	} else if err == nil {
		err = u.app.RemoveMember(c.Request().Context(), who, id, f.Person, "trainee")
	}
	return u.memberForm(c, who, err, "remove", "They no longer belong to the cohort. Their attempts stay.")
}

func (u *UI) memberForm(c echo.Context, who account.Caller, err error, which, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(f Form) error { return u.showMembers(c, who, f) })
	}
	return u.taken(c, "/cohorts/"+c.Param("id")+"/members", notice)
}

// names lists members by name.
func (p *MembersPage) TutorNames() string {
	var ss []string
	for _, m := range p.Cohort.Tutors {
		ss = append(ss, m.Name)
	}
	return strings.Join(ss, ", ")
}
