package quantity

// Quantity is a number as stated with the unit as stated.
type Quantity struct {
	Number Number
	Unit   Unit
	// UnitText is what was typed for the unit, trimmed; empty where none was typed.
	UnitText string
	// Note tells what was forgiven in the unit; ParseQuantity forgives nothing.
	Note Note
}

// ParseQuantity reads a number with a unit behind it: 12.4 L/min, >200 MΩ, −3 °C, 75 %. A number alone has unit One.
// Errors are as in ParseNumber and ParseUnit, with the byte position in text.
func ParseQuantity(text string) (Quantity, error) {
	return parseQuantity(text, func(unit string) (Unit, Note, error) {
		u, err := ParseUnit(unit)
		return u, NoteNone, err
	})
}

// ParseQuantityFor reads a number with a unit behind it where a unit is asked, forgiving as ParseUnitFor does. A number
// without a unit gives the asked unit and an empty UnitText: the caller decides whether the form prints the unit.
func ParseQuantityFor(text string, asked Unit) (Quantity, error) {
	return parseQuantity(text, func(unit string) (Unit, Note, error) {
		if unit == "" {
			return asked, NoteNone, nil
		}
		return ParseUnitFor(unit, asked)
	})
}

func parseQuantity(text string, unit func(string) (Unit, Note, error)) (Quantity, error) {
	n, rest, err := leadingNumber(text)
	if err != nil {
		return Quantity{}, err
	}
	u, note, err := unit(rest.text)
	if err != nil {
		return Quantity{}, moved(err, text, nil, rest.pos)
	}
	return Quantity{Number: n, Unit: u, UnitText: rest.text, Note: note}, nil
}

// SI gives the value in SI base units.
func (q Quantity) SI() float64 { return q.Unit.ToSI(q.Number.Value()) }

// In gives the value in another unit of the same dimension and kind.
func (q Quantity) In(u Unit) (float64, error) { return Convert(q.Number.Value(), q.Unit, u) }

// String prints number and unit so that ParseQuantity reads both back.
func (q Quantity) String() string {
	n := q.Number.Canonical()
	if q.Unit.symbol == "" {
		return n
	}
	return n + thin + q.Unit.symbol
}
