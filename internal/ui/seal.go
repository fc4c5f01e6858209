package ui

import (
	"fmt"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// Waits says whether the marker waits for things on the sealed list.
func (v *SheetView) Waits() bool {
	return v.State == decision.HandedOver && v.Seal != nil && v.Seal.Awaited > 0 && v.Seal.Without == nil
}

// Arriving says in words what of the sealed list is still to arrive; "" where all of it is here.
func (v *SheetView) Arriving() string {
	if v.Seal == nil || v.Seal.Awaited == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %s on the sealed list still to arrive", v.Seal.Awaited, count(v.Seal.Listed, "thing", "things"))
}

// MayTakeIn says whether the caller may take in what is held.
func (v *SheetView) MayTakeIn() bool {
	return v.Judge && (v.State == decision.HandedOver || v.State == decision.Checked || v.State == decision.Decided)
}

// TakenIn lists what was taken in.
func (v *SheetView) TakenIn() []decision.Record {
	var rs []decision.Record
	for _, r := range v.Records {
		if r.Kind == decision.KindTakeIn {
			rs = append(rs, r)
		}
	}
	return rs
}

// HeldView is one thing that is held, with its form.
type HeldView struct {
	app.HeldThing
	On *SheetView
}

// Holding lists what is held.
func (v *SheetView) Holding() []HeldView {
	var hs []HeldView
	for _, h := range v.Held {
		hs = append(hs, HeldView{h, v})
	}
	return hs
}

// FormName names the form that takes it in.
func (h HeldView) FormName() string { return "take-in-" + h.ID.String() }

// Form is that form.
func (h HeldView) Form() Form { return h.On.Form.For(h.FormName()) }

// SetWords says how a line stands to the release of its hold point and to what was handed over; "" where nothing is to be said.
func (l LineView) SetWords() string {
	if l.Entry == nil {
		return ""
	}
	if l.Entry.Order == decision.Before {
		return join(append([]string{l.Entry.Order.Words(l.Entry.HoldOf)}, l.On.setWords(l.Entry.Sealed)...))
	}
	return join(l.On.setWords(l.Entry.Sealed))
}

// FileWords says how a file stands to what was handed over; "" where nothing is to be said.
func (v *SheetView) FileWords(f app.SheetFile) string { return join(v.setWords(f.Sealed)) }

// setWords tells a trainee what is in their hand-over, and a tutor what is not.
func (v *SheetView) setWords(sealed bool) []string {
	switch {
	case v.Seal == nil || v.Own != sealed:
		return nil
	case v.Own:
		return []string{"in your hand-over"}
	}
	return []string{"not on the sealed list"}
}

type takeInForm struct {
	ID    uuid.UUID `form:"id" validate:"required"`
	Words string    `form:"words" validate:"required,max=4000" say:"Say why it is taken in, so that whoever reads this later can follow you."`
}

func (u *UI) takeIn(c echo.Context, who account.Caller) error {
	var f takeInForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.TakeIn(c.Request().Context(), who, id, f.ID, f.Words)
	}
	return u.sheetForm(c, who, err, "take-in-"+f.ID.String(), "#sealed-list", "Taken in. The marker looks again.")
}

type goOnForm struct {
	Words string `form:"words" validate:"required,max=4000" say:"Say why it goes on without, so that whoever reads this later can follow you."`
}

func (u *UI) goOnWithout(c echo.Context, who account.Caller) error {
	var f goOnForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.GoOnWithout(c.Request().Context(), who, id, strings.TrimSpace(f.Words))
	}
	return u.sheetForm(c, who, err, "go-on", "#sealed-list", "The marker works through what is here.")
}
