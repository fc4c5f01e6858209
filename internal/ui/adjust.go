package ui

import (
	"fmt"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// AdjustView is what was agreed for one trainee, in words.
type AdjustView struct {
	decision.Record
	Says string
}

// Adjustments are what was agreed for the trainee, the first first.
func (v *SheetView) Adjustments() []AdjustView {
	var as []AdjustView
	for _, r := range v.Adjusted {
		as = append(as, AdjustView{r, v.adjusted(r)})
	}
	return as
}

func (v *SheetView) adjusted(r decision.Record) string {
	if decision.Adjusted(r.Outcome) == decision.ExtraTime {
		return "Extra time: until " + dateWords(r.Value) + "."
	}
	title := r.Subject
	for _, st := range v.Stages {
		for _, it := range st.Items {
			if it.Key == r.Subject {
				title = it.Title
			}
		}
	}
	return title + " is shown in another way: " + r.Value
}

// Returned is what samplers disagree with and nobody has decided afresh since, for whoever judges; nil for none.
func (v *SheetView) Returned() *decision.Return {
	if !v.Judge {
		return nil
	}
	return decision.Returned(v.Records)
}

// AttemptOf says which attempt it is of how many: "attempt 2 of 3"; "" for the first where the number was left open.
func (v *SheetView) AttemptOf() string { return attemptOf(v.Number, v.Attempts) }

// UsedUp says whether the attempt was sent back and the task gives none after it.
func (v *SheetView) UsedUp() bool {
	return v.State == decision.MoreToDo && v.Attempts > 0 && v.Number >= v.Attempts && v.OneMore == nil
}

func attemptOf(number, of int) string {
	switch {
	case of > 0 && number > of:
		return "attempt " + fmt.Sprint(number) + ", one more than the " + fmt.Sprint(of) + " that were set"
	case of > 0:
		return "attempt " + fmt.Sprint(number) + " of " + fmt.Sprint(of)
	case number > 1:
		return "attempt " + fmt.Sprint(number)
	}
	return ""
}

// ItemOptions are the items of the brief, to choose from.
func (v *SheetView) ItemOptions() []Option {
	os := []Option{{Value: "", Text: "choose"}}
	for _, st := range v.Stages {
		for _, it := range st.Items {
			os = append(os, Option{Value: it.Key, Text: fmt.Sprint(it.Number) + " " + it.Title})
		}
	}
	return os
}

type adjustForm struct {
	What    decision.Adjusted `form:"what" validate:"required" say:"Choose extra time, or another way to show something."`
	Until   time.Time         `form:"until" say:"Write the day as year-month-day."`
	Item    string            `form:"item"`
	Instead string            `form:"instead" validate:"max=2000" say:"Shorten this to 2000 letters."`
	Words   string            `form:"words" validate:"required,max=4000" say:"Say why, so that whoever reads this later can follow you."`
}

func (u *UI) adjust(c echo.Context, who account.Caller) error {
	var f adjustForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		adj := decision.Adjustment{What: f.What, Until: f.Until, Item: f.Item, Instead: f.Instead, Words: f.Words}
		err = u.app.Adjust(c.Request().Context(), who, id, adj)
	}
	return u.sheetForm(c, who, err, "adjust", "#adjusted", "Agreed, and recorded with your name. What the criteria ask for is as before.")
}

type oneMoreForm struct {
	Words string    `form:"words" validate:"required,max=4000" say:"Say why one more is granted."`
	By    time.Time `form:"by" say:"Write the day as year-month-day, or leave it empty."`
}

func (u *UI) grantAttempt(c echo.Context, who account.Caller) error {
	var f oneMoreForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.GrantAttempt(c.Request().Context(), who, id, f.Words, f.By)
	}
	return u.sheetForm(c, who, err, "one-more", "#closing", "One more attempt is planned. It keeps what is met.")
}
