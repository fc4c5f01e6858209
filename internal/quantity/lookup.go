package quantity

import (
	"math/big"
	"slices"
	"strings"
)

var lookup, caseFolded = buildLookup(atoms)

// buildLookup spells every atom with each of its prefixes and aliases.
func buildLookup(table []atom) (map[string]Unit, map[string][]Unit) {
	exact, folded := map[string]Unit{}, map[string][]Unit{}
	id := uint16(0)
	add := func(spelling string, u Unit) {
		spelling = strings.ReplaceAll(spelling, "~", " ")
		if _, taken := exact[spelling]; !taken {
			exact[spelling] = u
		}
		key := strings.ToLower(spelling)
		if !slices.ContainsFunc(folded[key], func(o Unit) bool { return o.symbol == u.symbol }) {
			folded[key] = append(folded[key], u)
		}
	}
	for _, a := range table {
		factor := fraction(a.factor)
		var offset rat
		if a.offset != "" {
			offset = fraction(a.offset)
		}
		u := newUnit(a.symbol, a.dim, a.kind, a.scale, factor, offset)
		id++
		u.id, u.measures = id, a.measures
		add(a.symbol, u)
		for alias := range strings.FieldsSeq(a.aliases) {
			add(alias, u)
		}
		for _, p := range prefixFactors {
			if !strings.Contains(a.prefixes, p.symbol) {
				continue
			}
			v := newUnit(p.symbol+a.symbol, a.dim, a.kind, a.scale, new(big.Rat).Mul(factor, fraction(p.factor)), nil)
			id++
			v.id, v.measures = id, a.measures
			add(v.symbol, v)
			if p.symbol == "μ" {
				add("u"+a.symbol, v)
			}
			for alias := range strings.FieldsSeq(a.aliases) {
				addPrefixed(add, p.symbol, p.word, alias, v)
			}
		}
	}
	return exact, folded
}

// addPrefixed spells kl, kilolitre and Mohm, but no symbols of two words.
func addPrefixed(add func(string, Unit), symbol, word, alias string, u Unit) {
	switch {
	case alias == "l" || alias == "ohm" || alias == "R" || alias == "VAr":
		add(symbol+alias, u)
		if symbol == "μ" {
			add("u"+alias, u)
		}
	case len(alias) >= 4:
		add(word+alias, u)
		if alias == "ohms" {
			add(symbol+alias, u)
		}
	}
}

// fraction reads the table's own decimals and fractions.
func fraction(s string) rat {
	num, den, ok := strings.Cut(s, "/")
	r, good := new(big.Rat).SetString(num)
	if ok && good {
		var d rat
		if d, good = new(big.Rat).SetString(den); good {
			r.Quo(r, d)
		}
	}
	if !good {
		panic("quantity: the unit table holds a factor that is no number: " + s)
	}
	return r
}
