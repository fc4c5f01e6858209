package ui

import (
	"cmp"
	"fmt"
	"net/url"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/quantity"
)

// HandView is a kind of instrument that a stage needs, with the one in hand.
type HandView struct {
	app.SheetInstrument
	On            *SheetView
	Stage, Number int
	Fresh         uuid.UUID // the id of the next one, made with the page so that the same form sent twice is one
}

// Hands lays out the kinds of instrument that the stage needs.
func (s StageView) Hands() []HandView {
	hs := make([]HandView, len(s.Instruments))
	for i, in := range s.Instruments {
		hs[i] = HandView{SheetInstrument: in, On: s.On, Stage: s.Number, Number: i, Fresh: uuid.New()}
	}
	return hs
}

// All are those that were chosen, the latest last.
func (h HandView) All() []HandView {
	var hs []HandView
	for _, in := range append(h.Before[:len(h.Before):len(h.Before)], h.SheetInstrument) {
		if in.ID != uuid.Nil {
			hs = append(hs, HandView{SheetInstrument: in, On: h.On, Stage: h.Stage})
		}
	}
	return hs
}

// Chosen says whether one is in hand.
func (h HandView) Chosen() bool { return h.ID != uuid.Nil }

// Offered is what the centre's register has of the kind.
func (h HandView) Offered() []Option {
	var os []Option
	for _, c := range h.Choices {
		os = append(os, Option{Value: c.Serial, Text: c.Words})
	}
	return os
}

// SerialHint says how to name the instrument, and DueHint when its label's day need not be typed.
func (h HandView) SerialHint() string {
	if len(h.Choices) == 0 {
		return "As it stands on the label."
	}
	return "As it stands on the label, or choose from the centre's register."
}

// DueHint is beside SerialHint.
func (h HandView) DueHint() string {
	if len(h.Choices) == 0 {
		return ""
	}
	return "Leave it empty for one of the register: its own day counts."
}

// Form is the form in which one is chosen.
func (h HandView) Form() Form {
	return h.On.Form.For(handForm(fmt.Sprint(h.Stage), fmt.Sprint(h.Number)))
}

func handForm(stage, number string) string { return "hand-" + stage + "-" + number }

// Which is the one in hand, in words that a script writes alike.
func (h HandView) Which() string {
	switch {
	case !h.Chosen():
		return "not said yet"
	case h.Due == "":
		return "serial " + h.Serial + ", no date of calibration"
	}
	return "serial " + h.Serial + ", calibration due " + dateWords(string(h.Due))
}

// Label is the place of photos of its label: of the one in hand, or of the one that is to be chosen.
func (h HandView) Label() ItemView {
	it := &brief.Item{Key: decision.LabelItem(cmp.Or(h.ID, h.Fresh)), Title: "Label: " + h.Kind}
	return ItemView{SheetItem: app.SheetItem{Item: it, Files: h.Labels}, On: h.On, Stage: h.Stage}
}

// Label says whether the photos are of an instrument's label.
func (it ItemView) Label() bool { _, ok := decision.LabelOf(it.Key); return ok }

// Unnamed says of such a place that its instrument is not chosen yet.
func (it ItemView) Unnamed() bool {
	if !it.Label() {
		return false
	}
	for _, st := range it.On.Stages {
		for _, in := range st.Instruments {
			if decision.LabelItem(in.ID) == it.Key {
				return false
			}
		}
	}
	return true
}

// Help is the line in which the trainee says who helped at the stage.
func (s StageView) Help() LineView {
	l := s.Helped
	l.Item = decision.HelpItem(s.Key)
	of := &ItemView{SheetItem: app.SheetItem{Item: &brief.Item{Key: l.Item, Title: "Who helped"}}, On: s.On, Stage: s.Number}
	return LineView{SheetLine: l, On: s.On, Of: of}
}

// Told says whether the stage has something that is said of no single item: who helped, or what was in hand.
func (s StageView) Told() bool {
	told := s.Helped.Entry != nil
	for _, in := range s.Instruments {
		told = told || in.ID != uuid.Nil
	}
	return told
}

// InHand is the id of the instrument that goes with what is typed next into the line; "" where none was chosen.
func (l LineView) InHand() string {
	for _, st := range l.On.Stages {
		for _, in := range st.Instruments {
			if st.Number == l.Of.Stage && in.Kind == l.Of.Reading.Instrument && in.ID != uuid.Nil {
				return in.ID.String()
			}
		}
	}
	return ""
}

// Units lists the units that a reading may be stated in, the asked one first; nil where there is only that. Its value is "":
// the unit that the form prints need not be stated.
func (l LineView) Units() []Option {
	asked, err := quantity.ParseUnit(l.Unit)
	if err != nil {
		return nil
	}
	us := quantity.Beside(asked)
	if len(us) < 2 {
		return nil
	}
	now, known := l.TypedUnit(), false
	var os []Option
	for i, u := range us {
		o := Option{Value: u.String(), Text: u.String()}
		if i == 0 && now != o.Value {
			o.Value = ""
		}
		o.Chosen = o.Value == now
		known = known || o.Chosen
		os = append(os, o)
	}
	if !known { // as it came some other way
		os = append(os, Option{Value: now, Text: now, Chosen: true})
	}
	return os
}

type instrumentForm struct {
	ID     uuid.UUID `form:"id"`
	Kind   string    `form:"kind"`
	Serial string    `form:"serial"`
	Due    time.Time `form:"due" say:"Choose the date as it stands on the label, or leave it empty."`
	Stage  string    `form:"stage"`
	Number string    `form:"number"`
}

func (u *UI) chooseInstrument(c echo.Context, who account.Caller) error {
	var f instrumentForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		in := decision.Instrument{ID: f.ID, Kind: f.Kind, Serial: strings.TrimSpace(f.Serial)}
		if !f.Due.IsZero() {
			in.Due = brief.Day(f.Due.Format(time.DateOnly))
		}
		err = u.app.ChooseInstrument(c.Request().Context(), who, id, app.NewInstrument{Instrument: in})
	}
	return u.sheetForm(c, who, err, handForm(f.Stage, f.Number), "#stage-"+url.PathEscape(f.Stage), "Kept. What you read next is read with it.")
}
