package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// Instrument is one that a trainee chose for a kind that the brief names. Rows are appended: of a kind the latest is in hand.
type Instrument struct {
	ID             uuid.UUID `db:"instrument_id"` // made where it was chosen
	Attempt        uuid.UUID `db:"attempt_id"`
	Kind           string
	Serial         string
	CalibrationDue time.Time // a date; zero where the label says nothing
	ChosenAt       time.Time // by the phone; zero where unknown
	ReceivedAt     time.Time
	Clock
	By uuid.UUID `db:"by_id"`
}

const instrumentColumns = `i.instrument_id, i.attempt_id, i.kind, i.serial, coalesce(i.calibration_due, '0001-01-01') AS calibration_due,
	coalesce(i.chosen_at, '0001-01-01 00:00Z') AS chosen_at, i.received_at, i.offset_ms, i.clock_steady, i.by_id`

const instrumentFrom = ` FROM instrument i `

// Chosen is when it was taken in hand.
func (i Instrument) Chosen() decision.Moment { return i.moment(i.ChosenAt) }

// Instrument reads one instrument.
func (t *Tx) Instrument(ctx context.Context, id uuid.UUID) (Instrument, error) {
	return one[Instrument](t.reading(ctx), "instrument", `SELECT `+instrumentColumns+instrumentFrom+` WHERE i.instrument_id = @instrument`, args{"instrument": id})
}

// AddInstrument keeps a chosen instrument; an id that is there already is an error. It does not ask for the attempt's state.
func (t *Tx) AddInstrument(ctx context.Context, i Instrument) error {
	_, err := t.exec(ctx, "add instrument", `
		INSERT INTO instrument (centre_id, instrument_id, attempt_id, kind, serial, calibration_due, chosen_at, received_at, offset_ms, clock_steady, by_id)
		VALUES (@centre, @instrument, @attempt, @kind, @serial, @due, @chosen_at, @received_at, @offset_ms, @clock_steady, @by)`,
		args{"centre": t.centre, "instrument": i.ID, "attempt": i.Attempt, "kind": i.Kind, "serial": i.Serial, "due": timeOrNull(i.CalibrationDue),
			"chosen_at": timeOrNull(i.ChosenAt), "received_at": i.ReceivedAt, "offset_ms": i.OffsetMS, "clock_steady": i.Steady, "by": i.By})
	return err
}
