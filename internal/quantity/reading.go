package quantity

import "strings"

// Note tells what was forgiven when a unit was read.
type Note uint8

const (
	// NoteNone means that nothing had to be forgiven.
	NoteNone Note = iota
	// NoteCase means that the letter case was wrong and only one unit could be meant: Kw read as kW.
	NoteCase
	// NoteDegreesForDifference means that °C was stated for a difference; it is read as K.
	NoteDegreesForDifference
	// NoteKelvinForPoint means that K was stated for a temperature; the tutor decides what it is.
	NoteKelvinForPoint
	// NoteCelsius means that C was read as °C, because a temperature was asked.
	NoteCelsius
)

// String gives the note as a sentence for the trainee.
func (n Note) String() string {
	switch n {
	case NoteCase:
		return "Mind capital and small letters in the unit: M and m, K and k mean different things."
	case NoteDegreesForDifference:
		return "A temperature difference is stated in K; °C is for a temperature."
	case NoteKelvinForPoint:
		return "A temperature is stated in °C here; K alone is a difference."
	case NoteCelsius:
		return "C alone is coulomb; degrees Celsius are written °C."
	case NoteNone:
		return ""
	}
	return ""
}

// ParseUnitFor reads a unit where another one is asked. It takes what ParseUnit takes, and beyond that forgives, with a
// note: letter case where exactly one unit fits and has the asked dimension (never mW for MW); C for °C; °C for a
// difference. A unit of another dimension is no error here: the caller compares with CheckConvertible.
func ParseUnitFor(text string, asked Unit) (Unit, Note, error) {
	u, err := ParseUnit(text)
	if err == nil {
		return forAsked(u, asked)
	}
	v, foldErr := parseUnit(text, true)
	if foldErr != nil || v.dim != asked.dim {
		w := strings.TrimSpace(text)
		if c, ok := onlyOne(caseFolded[strings.ToLower(w)]); ok && c.dim == asked.dim {
			return withNote(c, asked)
		}
		return One, NoteNone, err
	}
	return withNote(v, asked)
}

// ParseUnitAnyCase reads a unit in any letter case, as long as each of its parts can only be one unit: KW is kW, mw is
// refused. Use it only where no asked unit is known; ParseUnitFor is stricter.
func ParseUnitAnyCase(text string) (Unit, error) { return parseUnit(text, true) }

func withNote(u, asked Unit) (Unit, Note, error) {
	u, note, err := forAsked(u, asked)
	if note == NoteNone {
		note = NoteCase
	}
	return u, note, err
}

// forAsked reads degrees as the asked kind.
func forAsked(u, asked Unit) (Unit, Note, error) {
	switch {
	case u.symbol == "C" && asked.kind == TemperaturePoint:
		return lookup["°C"], NoteCelsius, nil
	case u.symbol == "C" && asked.kind == TemperatureDifference:
		return lookup["K"], NoteCelsius, nil
	case u.kind == TemperaturePoint && asked.kind == TemperatureDifference:
		return u.Difference(), NoteDegreesForDifference, nil
	case u.kind == TemperatureDifference && asked.kind == TemperaturePoint:
		return u, NoteKelvinForPoint, nil
	}
	return u, NoteNone, nil
}
