package ui

import (
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// From offers the cohorts that the person can be withdrawn from, and all of them together where there are several.
func (p *PersonPage) From() []Option {
	var options []Option
	if len(p.File.Leaving) > 1 {
		options = append(options, Option{Text: "Every cohort"})
	}
	for _, k := range p.File.Leaving {
		options = append(options, Option{Value: k.Cohort.String(), Text: k.Name})
	}
	return options
}

// Leaves says whether the page offers to withdraw the person.
func (p *PersonPage) Leaves() bool { return p.May && !p.Mine && len(p.File.Leaving) > 0 }

type withdrawTraineeForm struct {
	Cohort uuid.UUID `form:"cohort"` // nothing for every cohort
	LeftOn time.Time `form:"left_on" validate:"required" say:"Give the last day that they were here."`
	Words  string    `form:"words" validate:"max=4000" say:"Shorten this to 2000 letters."`
}

func (u *UI) withdrawTrainee(c echo.Context, who account.Caller) error {
	var f withdrawTraineeForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	closed := 0
	if err = u.read(c, &f); err == nil {
		closed, err = u.app.WithdrawTrainee(c.Request().Context(), who, id, app.NewLeaver{Cohort: f.Cohort, LeftOn: f.LeftOn, Words: f.Words})
	}
	return u.personForm(c, who, err, "withdraw", "They are withdrawn. "+sentence(count(closed, "open attempt is closed.", "open attempts are closed.")))
}

type withdrawalBackForm struct {
	Withdrawal uuid.UUID `form:"withdrawal" validate:"required" say:"Load the page again."`
	Words      string    `form:"words" validate:"max=4000" say:"Shorten this to 2000 letters."`
}

func (u *UI) takeBackWithdrawal(c echo.Context, who account.Caller) error {
	var f withdrawalBackForm
	if _, err := pathID(c, "id"); err != nil {
		return err
	}
	err := u.read(c, &f)
	if err == nil {
		err = u.app.TakeBackWithdrawal(c.Request().Context(), who, f.Withdrawal, f.Words)
	}
	return u.personForm(c, who, err, "back-"+f.Withdrawal.String(), "The withdrawal is taken back. They belong to the cohort again, and their work stands where it stood.")
}

// HasLeft says whether the person was withdrawn from a cohort.
func (p *PersonPage) HasLeft(k app.PersonCohort) bool {
	return k.Part == "trainee" && slices.ContainsFunc(p.File.Left, func(w app.Withdrawal) bool { return w.Stands() && w.Cohort == k.ID })
}
