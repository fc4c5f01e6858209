package quantity

// Fold replaces look-alike characters by the one this package reads: every minus sign by -, full-width digits by plain
// ones, the ohm and micro signs by their Greek letters, subscript digits by plain digits, the thin spaces by U+2009 and
// so on. Unicode's own compatibility folding is wrong here: it turns ² into 2.
//
// The second result maps a byte offset in the folded text to one in s; it is nil where both are the same text.
func Fold(s string) (string, Offsets) {
	folded, offsets, ok := AppendFold(nil, nil, s)
	if !ok {
		return s, nil
	}
	return string(folded), offsets
}

// Offsets maps byte offsets of a folded text back to the text as typed.
type Offsets []int32

// At gives the offset in the typed text for offset i of the folded text.
func (o Offsets) At(i int) int {
	if o == nil {
		return i
	}
	return int(o[min(max(i, 0), len(o)-1)])
}

// thin is the space that groups thousands and stands between a number and its unit.
const thin = "\u2009"

// foldRunes is our own table; what is not in it stays as it is.
var foldRunes = map[rune]string{
	'\t': " ", '\u3000': " ",
	'\u00a0': thin, '\u2007': thin, '\u2008': thin, '\u2009': thin, '\u200a': thin, '\u202f': thin, '\u2006': thin,
	'\u2212': "-", '\u2010': "-", '\u2011': "-", '\u2012': "-", '\u2013': "-", '\u2014': "-", '\ufe63': "-", '\uff0d': "-",
	'\u207b': "⁻", '\u208a': "+", '\uff0b': "+", '\u2044': "/", '\u2215': "/", '\uff0f': "/",
	'\u22c5': "·", '\u2219': "·", '\u2022': "·", '\u30fb': "·", '\u0387': "·", '\u2715': "×", '\u2a09': "×", '\u2217': "*", '\uff0a': "*",
	'\uff08': "(", '\uff09': ")", '\uff0e': ".", '\uff0c': ",", '\uff1d': "=", '\uff05': "%", '\uff3e': "^", '\uff1c': "<", '\uff1e': ">",
	'\u2264': "≤", '\u2a7d': "≤", '\u2a7e': "≥",
	'\u2126': "Ω", '\u00b5': "μ", '\u2206': "Δ", '\u03d5': "φ", '\u03d1': "θ", '\u03f5': "ε", '\u2113': "l",
	'\u00ba': "°", '\u02da': "°", '\u2103': "°C", '\u2109': "°F",
	'\u2032': "′", '\'': "′", '\u2019': "′", '\u00b4': "′", '\u201d': `"`, '\u201c': `"`, '\u2033': `"`,
	'\u338e': "mg", '\u338f': "kg", '\u339c': "mm", '\u339d': "cm", '\u339e': "km", '\u33a1': "m²", '\u33a5': "m³", '\u33a9': "Pa", '\u33aa': "kPa",
	'\u33be': "kW", '\u33a0': "cm²", '\u339f': "mm²", '\u33c4': "cc",
	'₀': "0", '₁': "1", '₂': "2", '₃': "3", '₄': "4", '₅': "5", '₆': "6", '₇': "7", '₈': "8", '₉': "9",
	'\uff10': "0", '\uff11': "1", '\uff12': "2", '\uff13': "3", '\uff14': "4", '\uff15': "5", '\uff16': "6", '\uff17': "7", '\uff18': "8", '\uff19': "9",
}
