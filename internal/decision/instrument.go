package decision

import (
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
)

// Instrument is what a trainee read with: the thing in hand for a kind that the brief names.
type Instrument struct {
	ID     uuid.UUID // made where it was chosen; zero for none
	Kind   string    // as the brief names it: "contact thermometer"
	Serial string
	Due    brief.Day // until when its calibration holds, that day included; "" where the label says nothing
}

// OutOfDate says whether the instrument's calibration had run out on a day; where no date is known, nobody can tell.
func (i Instrument) OutOfDate(on brief.Day) bool { return i.Due != "" && on > i.Due }

// labelItem begins the item of a photo of an instrument's label. No key of a brief has a slash.
const labelItem = "instrument/"

// LabelItem is the item under which photos of an instrument's label are kept.
func LabelItem(id uuid.UUID) string { return labelItem + id.String() }

// LabelOf reads such an item; ok is false for any other.
func LabelOf(item string) (id uuid.UUID, ok bool) {
	rest, ok := strings.CutPrefix(item, labelItem)
	if !ok {
		return uuid.Nil, false
	}
	id, err := uuid.Parse(rest)
	return id, err == nil && LabelItem(id) == item
}

// helpItem begins the item of the line in which a trainee says who helped at a stage.
const helpItem = "helped/"

// HelpItem is the item of that line, for the stage with the key.
func HelpItem(stage string) string { return helpItem + stage }

// HelpAt reads such an item; ok is false for any other.
func HelpAt(item string) (stage string, ok bool) { return strings.CutPrefix(item, helpItem) }
