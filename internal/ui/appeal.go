package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// Appealed is the trainee's latest appeal against the attempt; nil where there is none.
func (v *SheetView) Appealed() *decision.Record {
	return decision.Latest(v.Records, decision.KindAppeal, "")
}

// Heard is what was found on hearing the latest appeal; nil while it waits.
func (v *SheetView) Heard() *decision.Record {
	var heard *decision.Record
	for i, r := range v.Records {
		switch r.Kind {
		case decision.KindAppeal:
			heard = nil
		case decision.KindAppealOutcome:
			heard = &v.Records[i]
		}
	}
	return heard
}

// Upheld says whether the latest appeal was upheld.
func (v *SheetView) Upheld() bool {
	h := v.Heard()
	return h != nil && h.Outcome == decision.Upheld
}

// Read is the trainee's word that they have read the feedback as it stands; nil where they have not said so.
func (v *SheetView) Read() *decision.Record {
	if v.Own && v.Acknowledge.May {
		return nil
	}
	return decision.Latest(v.Records, decision.KindAcknowledge, "")
}

func (u *UI) acknowledge(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &struct{}{}); err == nil {
		err = u.app.Acknowledge(c.Request().Context(), who, id)
	}
	return u.feedbackForm(c, who, err, "acknowledge", "Thank you. Your tutor sees that you have read it.")
}

type appealForm struct {
	Words string `form:"words" validate:"required,max=4000" say:"Say what you think was judged wrongly, and why, in at most 4000 letters."`
}

func (u *UI) appeal(c echo.Context, who account.Caller) error {
	var f appealForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.Appeal(c.Request().Context(), who, id, f.Words)
	}
	return u.feedbackForm(c, who, err, "appeal", "Your appeal has been passed on. Somebody who had no part in the decisions looks at it.")
}

type hearingForm struct {
	Revision int    `form:"revision"`
	Outcome  string `form:"outcome" validate:"required" say:"Choose whether the appeal is upheld or rejected."`
	Words    string `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
}

func (u *UI) settleAppeal(c echo.Context, who account.Caller) error {
	var f hearingForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.SettleAppeal(c.Request().Context(), who, id, f.Revision, f.Outcome, f.Words)
	}
	said := map[string]string{
		decision.Upheld:   "Upheld. What was not yet met is open, for somebody who had no part in it.",
		decision.Rejected: "Rejected. The trainee reads your reason and goes on with the next attempt.",
	}
	return u.sheetForm(c, who, err, "settle", "", said[f.Outcome])
}
