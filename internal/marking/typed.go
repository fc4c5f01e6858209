package marking

import (
	"errors"
	"strings"

	"witnessmark/internal/quantity"
)

// typed is what one typed text says where a number in a unit is asked.
type typed struct {
	stated  string  // as typed, with its unit, short enough for a sentence
	verdict Verdict // "" where a number and a fitting unit were read
	code    string  // why there is a verdict already
	why     string  // the same in words
	number  quantity.Number
	unit    quantity.Unit // as typed; the asked one where none was typed
	unitSet bool          // a unit was typed or chosen
	read    float64       // in the typed unit
	value   float64       // in the asked unit; the bare number taken as such where the unit is missing or does not fit
	usable  bool          // value is a number that later figures can be followed from
	note    quantity.Note
}

// readTyped reads text and the separately typed or chosen unit where asked is the asked unit.
func readTyped(text, unitText string, asked quantity.Unit) typed {
	t := typed{stated: statedWords(text, unitText)}
	q, err := quantity.ParseQuantityFor(text, asked)
	if err != nil {
		return t.unread(err)
	}
	t.number, t.unit, t.note, t.unitSet = q.Number, q.Unit, q.Note, q.UnitText != ""
	if strings.TrimSpace(unitText) != "" {
		u, note, err := quantity.ParseUnitFor(unitText, asked)
		switch {
		case err != nil:
			return t.unread(err)
		case t.unitSet && !u.Equal(t.unit):
			return t.toRead("two_units", "Two units stand here, "+t.unit.String()+" and "+u.String()+"; which one is meant?")
		}
		t.unit, t.note, t.unitSet = u, note, true
	}
	return t.convert(asked)
}

// convert brings the number read into the asked unit.
func (t typed) convert(asked quantity.Unit) typed {
	t.read = t.number.Value()
	t.value, t.usable = t.read, finite(t.read) && t.number.Bound == quantity.Exactly
	v, err := quantity.Convert(t.read, t.unit, asked)
	switch {
	case err == nil:
		t.value = v
	case t.note == quantity.NoteKelvinForPoint:
		t.usable = false
		return t.toRead("kelvin_for_temperature", "K stands where a temperature is asked: a difference, or counted from absolute zero?")
	case errors.Is(err, quantity.ErrDimension):
		t.verdict, t.code, t.why = UnitWrong, "wrong_dimension", err.Error()
	default:
		t.verdict, t.code, t.why = UnitWrong, "wrong_kind", err.Error()
		// Of another kind, but as large as it says: 15 800 VA for kW is followed from as 15.8, not as 15 800.
		if t.unit.ToSI(0) == 0 && asked.ToSI(0) == 0 {
			t.value = asked.FromSI(t.unit.ToSI(t.read))
		}
	}
	return t
}

// unread gives the verdict on a text that is no number in a unit: blank, or for the tutor to read. It is never guessed.
func (t typed) unread(err error) typed {
	switch {
	case errors.Is(err, quantity.ErrEmpty):
		t.verdict, t.code, t.why = NotAttempted, "blank", "Nothing is stated here."
		return t
	case errors.Is(err, quantity.ErrAmbiguous):
		return t.toRead("ambiguous", err.Error())
	case errors.Is(err, quantity.ErrRange):
		return t.toRead("out_of_range", err.Error())
	case errors.Is(err, quantity.ErrUnknownUnit):
		return t.toRead("unknown_unit", err.Error())
	}
	return t.toRead("not_a_number", err.Error())
}

func (t typed) toRead(code, why string) typed {
	t.verdict, t.code, t.why = ToRead, code, why
	return t
}

// statedDigits is how many significant digits were stated at most.
func (t typed) statedDigits() int {
	_, most := t.number.SignificantFigures()
	return most
}

// maxStated is how much of a typed text a sentence repeats.
const maxStated = 60

// statedWords is a typed text with its unit as a sentence repeats it: one line, not too long.
func statedWords(text, unit string) string {
	s := strings.Join(strings.Fields(text), " ")
	if u := strings.Join(strings.Fields(unit), " "); u != "" && u != "-" && s != "" && !strings.HasSuffix(s, u) {
		s += "\u2009" + u
	}
	if r := []rune(s); len(r) > maxStated {
		return string(r[:maxStated]) + "…"
	}
	return s
}

// hasNumber reports whether a number was read, whatever its unit.
func (t typed) hasNumber() bool {
	return (t.verdict == "" || t.verdict == UnitWrong) && t.number.Bound == quantity.Exactly
}

// converted is the value in the asked unit as a finding stores it; nil where the unit does not fit.
func (t typed) converted() *float64 {
	if t.verdict != "" {
		return nil
	}
	return stored(t.value)
}

// bare is the number without regard to its unit.
func (t typed) bare() float64 { return t.number.Value() }
