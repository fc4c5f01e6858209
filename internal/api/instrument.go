package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

// NewInstrument is an instrument that the trainee has in hand for a kind that the brief names.
type NewInstrument struct {
	ID       uuid.UUID `json:"id" validate:"required" about:"Made where it was chosen: the same again has no effect. Entries name it, and photos of its label are files of the item instrument/ID."`
	Kind     string    `json:"kind" validate:"required,max=200" about:"As the brief names it."`
	Serial   string    `json:"serial" validate:"required,max=100" about:"As it stands on the label."`
	Due      Date      `json:"due" validate:"omitempty" about:"The last day on which its calibration holds; left out where the label says nothing."`
	ChosenAt time.Time `json:"captured_at,omitzero" validate:"omitempty" about:"By the phone's clock."`
	Clock    *int64    `json:"clock_offset_ms,omitempty" validate:"omitempty" about:"As of an entry."`
	SentAt   time.Time `json:"sent_at,omitzero" validate:"omitempty" about:"By the phone's clock, as it sends this."`
}

func (s *service) chooseInstrument(ctx context.Context, who account.Caller, p idPath, _ none, b NewInstrument) (none, error) {
	return none{}, s.app.ChooseInstrument(ctx, who, p.ID, app.NewInstrument{
		Instrument: decision.Instrument{ID: b.ID, Kind: b.Kind, Serial: b.Serial, Due: dayOf(b.Due)}, ChosenAt: b.ChosenAt,
		PhoneClock: app.PhoneClock{SentAt: b.SentAt, Believed: b.Clock},
	})
}

// Instrument is one that was chosen.
type Instrument struct {
	ID        uuid.UUID `json:"id"`
	Kind      string    `json:"kind"`
	Serial    string    `json:"serial"`
	Due       Date      `json:"due,omitzero" about:"The last day on which its calibration holds."`
	OutOfDate bool      `json:"out_of_date" about:"Its calibration had run out: on the day of the reading, or today where it stands by itself."`
}

func instrumentOf(i decision.Instrument, outOfDate bool) Instrument {
	return Instrument{ID: i.ID, Kind: i.Kind, Serial: i.Serial, Due: dateOf(i.Due), OutOfDate: outOfDate}
}

// inHand lists the instruments of a stage that were chosen.
func inHand(ins []app.SheetInstrument) []Instrument {
	var out []Instrument
	for _, in := range ins {
		if in.ID != uuid.Nil {
			out = append(out, instrumentOf(in.Instrument, in.OutOfDate))
		}
	}
	return out
}

// dayOf is a date as the domain writes it; "" for none.
func dayOf(d Date) brief.Day {
	if d.IsZero() {
		return ""
	}
	return brief.Day(d.Format(time.DateOnly))
}

func dateOf(d brief.Day) Date {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil { // no date
		return Date{}
	}
	return Date{t}
}
