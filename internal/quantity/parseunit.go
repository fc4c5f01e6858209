package quantity

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of a unit text: longer or more powerful ones are no unit of the trade.
const (
	maxUnitText  = 128 // in bytes; what eight parts print as, powers and all, is shorter
	maxUnitAtoms = 8
	maxUnitExp   = 9
	// maxUnitPowers bounds the exponents of all parts together, so that no dimension and no factor grows out of hand.
	maxUnitPowers = 15
)

// ParseUnit reads a unit as the trade writes it: L/min, m³/h, m3/hr, W/m²K, kJ/(kg·K), bar(g), °C, MΩ, "cu ft". Letter
// case counts. An empty text and "-" are the plain number. Compounds multiply with ·, . or * and divide with /, where
// only the next atom is divided unless brackets hold more; exponents are written m2, m², m^2, m^-1 or m⁻¹.
//
// The error is an *Error with ErrUnknownUnit, and the byte position of what is not known.
func ParseUnit(text string) (Unit, error) { return parseUnit(text, false) }

// MustUnit is ParseUnit for unit texts in code and tables; it panics at a spelling that is none, so use it only for
// package variables and in tests.
func MustUnit(text string) Unit { return mustUnit(text) }

func mustUnit(text string) Unit {
	u, err := ParseUnit(text)
	if err != nil {
		panic(err)
	}
	return u
}

func parseUnit(text string, foldCase bool) (Unit, error) {
	if len(text) > maxUnitText {
		return One, unitError(text[:0], 0, "A unit has at most %d characters; this one has %d.", maxUnitText, len(text))
	}
	folded, offsets := Fold(text)
	s := strings.TrimSpace(folded)
	if s == "" || s == "-" || s == "1" {
		return One, nil
	}
	if u, ok := wholeUnit(s); ok {
		return u, nil
	}
	start := len(folded) - len(strings.TrimLeftFunc(folded, unicode.IsSpace))
	if base, scale, ok := cutScale(s); ok {
		u, err := parseUnit(base, foldCase)
		if err != nil {
			return One, moved(err, text, offsets, start)
		}
		if u.symbol == "" {
			return One, unitError(text, 0, "%s stands behind a unit: %% %s, kW %s.", scale, scale, scale)
		}
		if u.scale != "" || u.kind != Plain {
			return One, unitError(text, 0, "%s cannot be %s.", base, scale)
		}
		u.scale, u.symbol, u.id = scale, strings.TrimSpace(u.symbol+" "+scale), 0
		return u, nil
	}
	p := unitParser{s: s, foldCase: foldCase}
	if err := p.all(); err != nil {
		return One, unitError(text, offsets.At(start+p.pos), "%s", err.Error())
	}
	return p.unit(), nil
}

func unitError(text string, pos int, format string, args ...any) error {
	return &Error{Text: text, Pos: pos, Reason: ErrUnknownUnit, Message: fmt.Sprintf(format, args...)}
}

// unitParser reads one compound from s.
type unitParser struct {
	s        string
	pos      int
	foldCase bool
	terms    [maxUnitAtoms]unitTerm
	n        int
	powers   int // exponents so far, without their signs
}

type unitTerm struct {
	unit Unit
	exp  int
}

// all reads a compound and nothing behind it.
func (p *unitParser) all() error {
	if err := p.compound(1, 0); err != nil {
		return err
	}
	p.pos = skipSpace(p.s, p.pos)
	if p.pos < len(p.s) {
		return plainError(leftOver(p.s[p.pos:]))
	}
	return p.noMillikelvin()
}

// noMillikelvin refuses mK beside other units. The trade means m·K by it, the table millikelvin, and nobody guesses; W/mK
// and the like are read before, as whole words.
func (p *unitParser) noMillikelvin() error {
	for _, t := range p.terms[:p.n] {
		if p.n > 1 && t.unit.symbol == "mK" {
			p.pos = strings.Index(p.s, "mK")
			return plainError("mK may be metre times kelvin or millikelvin here. Write m·K with the dot.")
		}
	}
	return nil
}

// leftOver says why a unit does not go on with s.
func leftOver(s string) string {
	if r, _ := utf8.DecodeRuneInString(s); IsUnitLetter(r) || '0' <= r && r <= '9' {
		return "The unit ends before this: nothing more belongs behind it."
	}
	return stray(s)
}

type plainError string

func (e plainError) Error() string { return string(e) }

// compound reads atoms joined by · . * and /; sign is −1 inside a divided bracket.
func (p *unitParser) compound(sign, depth int) error {
	if depth > 2 {
		return plainError("There are too many brackets in this unit.")
	}
	if p.peek("1/") {
		p.pos++
	} else if !p.peek("/") {
		if err := p.factor(sign, depth); err != nil {
			return err
		}
	}
	for p.pos < len(p.s) {
		s := sign
		switch {
		case p.take("·"), p.take("."), p.take("*"), p.take("×"):
		case p.take("/"):
			s = -sign
		default:
			return nil
		}
		if err := p.factor(s, depth); err != nil {
			return err
		}
	}
	return nil
}

func (p *unitParser) factor(sign, depth int) error {
	if !p.take("(") {
		return p.atom(sign)
	}
	if err := p.compound(sign, depth+1); err != nil {
		return err
	}
	if !p.take(")") {
		return plainError("A bracket is not closed in this unit.")
	}
	return nil
}

func (p *unitParser) atom(sign int) error {
	start := p.pos
	u, size, err := p.longestAtom()
	if err != nil {
		return err
	}
	exp, width, err := exponent(p.s[p.pos+size:], maxUnitExp)
	if err != nil {
		return err
	}
	if exp == 0 {
		return plainError("An exponent in a unit is not 0.")
	}
	p.pos += size + width
	p.powers += max(exp, -exp)
	if p.n == maxUnitAtoms || p.powers > maxUnitPowers {
		p.pos = start
		return plainError("There are too many parts in this unit.")
	}
	if u.scale != "" {
		p.pos = start
		return plainError(u.symbol + " stands alone: it cannot be part of a compound unit.")
	}
	p.terms[p.n] = unitTerm{u, exp * sign}
	p.n++
	return nil
}

// longestAtom finds the atom that the letters at pos spell; digits belong to it only in mH2O and the like.
func (p *unitParser) longestAtom() (Unit, int, error) {
	rest := p.s[p.pos:]
	for _, special := range []string{"mmH2O", "cmH2O", "inH2O", "mH2O", "K(abs)"} {
		if strings.HasPrefix(rest, special) {
			return lookup[special], len(special), nil
		}
	}
	n := 0
	for n < len(rest) {
		r, size := utf8.DecodeRuneInString(rest[n:])
		if !IsUnitLetter(r) {
			break
		}
		n += size
	}
	word := rest[:n]
	if word == "" && rest == "" {
		return One, 0, plainError("A unit is missing here.")
	}
	if word == "" {
		return One, 0, plainError(stray(rest))
	}
	if strings.HasSuffix(word, "R") && digitAt(rest, n) {
		return One, 0, plainError("The sign R does not stand for a decimal point here: write 4R7 as 4.7 Ω.")
	}
	if u, ok := lookup[word]; ok {
		return u, n, nil
	}
	if p.foldCase {
		if u, ok := onlyOne(caseFolded[strings.ToLower(word)]); ok {
			return u, n, nil
		}
	}
	return One, 0, plainError(unknownUnit(word))
}

// onlyOne gives the unit if there is exactly one.
func onlyOne(us []Unit) (Unit, bool) {
	if len(us) != 1 {
		return One, false
	}
	return us[0], true
}

// unknownUnit names what could have been meant.
func unknownUnit(word string) string {
	var meant []string
	for _, u := range caseFolded[strings.ToLower(word)] {
		meant = append(meant, u.symbol)
	}
	if len(meant) == 0 {
		return fmt.Sprintf("The unit %q is not known here.", word)
	}
	slices.Sort(meant)
	return fmt.Sprintf("The unit %q is not known here; did you mean %s?", word, strings.Join(meant, " or "))
}

// IsUnitLetter reports whether r can be part of an atom's name.
func IsUnitLetter(r rune) bool {
	switch {
	case 'a' <= r && r <= 'z', 'A' <= r && r <= 'Z':
		return true
	}
	switch r {
	case '°', '%', '‰', 'Ω', 'μ', 'Δ', '"':
		return true
	}
	return false
}

// exponent reads 2, ², ^2, ^-1 or ⁻¹ at the beginning of s and gives the bytes it takes: 1 and 0 where there is none.
func exponent(s string, limit int) (exp, size int, err error) {
	sign, value, n, seen := 1, 0, 0, false
	if strings.HasPrefix(s, "^") {
		n++
	}
	for n < len(s) {
		r, width := utf8.DecodeRuneInString(s[n:])
		d := superscriptDigit(r)
		switch {
		case !seen && (r == '⁻' || r == '-' && n > 0):
			sign = -1
		case r == '⁺' && !seen:
		case '0' <= r && r <= '9':
			value, seen = value*10+int(r-'0'), true
		case d >= 0:
			value, seen = value*10+d, true
		default:
			width = 0
		}
		if width == 0 {
			break
		}
		n += width
		if value > limit {
			return 0, 0, plainError(fmt.Sprintf("An exponent is at most %d here.", limit))
		}
	}
	switch {
	case !seen && n > 0:
		return 0, 0, plainError("An exponent is missing here.")
	case !seen:
		return 1, 0, nil
	}
	return sign * value, n, nil
}

// superscriptDigit gives the value of a superscript digit, −1 for any other character.
func superscriptDigit(r rune) int {
	switch {
	case r == '¹':
		return 1
	case r == '²' || r == '³':
		return int(r-'²') + 2
	case r == '⁰' || '⁴' <= r && r <= '⁹':
		return int(r - '⁰')
	}
	return -1
}

func (p *unitParser) peek(s string) bool { return strings.HasPrefix(p.s[p.pos:], s) }

func (p *unitParser) take(s string) bool {
	if !p.peek(s) {
		return false
	}
	p.pos += len(s)
	return true
}

// unit gives what the terms make.
func (p *unitParser) unit() Unit {
	if p.n == 1 && p.terms[0].exp == 1 {
		return p.terms[0].unit
	}
	if u, ok := knownCompounds[p.key()]; ok {
		return u
	}
	return p.multiply()
}

// multiply works out dimension, factor and printed form of a compound.
func (p *unitParser) multiply() Unit {
	var dim Dimension
	factor := new(big.Rat).Set(one)
	printed := make([]term, 0, p.n)
	for _, t := range p.terms[:p.n] {
		u := t.unit
		if u.kind == TemperaturePoint { // inside a compound a degree is a difference
			u = u.Difference()
		}
		dim = dim.Mul(u.dim.Pow(t.exp))
		f := u.Factor()
		if t.exp < 0 {
			f.Inv(f)
		}
		for range max(t.exp, -t.exp) {
			factor.Mul(factor, f)
		}
		i := slices.IndexFunc(printed, func(q term) bool { return q.symbol == u.symbol && (q.exp > 0) == (t.exp > 0) })
		if i >= 0 && printed[i].exp+t.exp <= maxUnitExp && printed[i].exp+t.exp >= -maxUnitExp {
			printed[i].exp += t.exp
		} else {
			printed = append(printed, term{u.symbol, t.exp})
		}
	}
	return newUnit(printTerms(printed), dim, Plain, "", factor, nil)
}
