package quantity

import "strings"

// Row is one unit of the table, an atom with or without a prefix.
type Row struct {
	Unit   Unit
	UCUM   string // code of the Unified Code for Units of Measure, for interchange; empty where there is none
	Source string // where its factor comes from
}

// Table lists every unit that is not made of others, each with the prefixes that the trade uses with it.
func Table() []Row {
	var rows []Row
	for _, a := range atoms {
		rows = append(rows, Row{lookup[a.symbol], a.ucum, a.source.String()})
		for _, p := range prefixFactors {
			if strings.Contains(a.prefixes, p.symbol) {
				rows = append(rows, Row{lookup[p.symbol+a.symbol], a.prefixed(p.symbol), a.source.String()})
			}
		}
	}
	return rows
}

// prefixed gives the code with a prefix, where there is a code. UCUM writes micro as u.
func (a atom) prefixed(prefix string) string {
	switch {
	case a.ucum == "":
		return ""
	case prefix == "μ":
		prefix = "u"
	}
	return prefix + a.ucum
}

// String names the source as a reader finds it.
func (s source) String() string {
	switch s {
	case siBrochure:
		return "SI Brochure, 9th edition"
	case nist811:
		return "NIST SP 811 (2008), appendix B"
	case practice:
		return "common practice, no source"
	}
	return ""
}
