package verify

import "witnessmark/internal/pdfcheck"

// format checks the file's form by our own checker. What it finds does not change the verdict: a file of poor form may be genuine.
func (p *Portfolio) format() {
	found, err := pdfcheck.Check(p.file)
	switch {
	case err != nil:
		p.add("format", NotChecked, "The file's form could not be checked: %v.", err)
	case len(found) == 0:
		p.holds("format", "Self-checked against %s of PDF/A-3 (ISO 19005-3) and PDF/UA-1 (ISO 14289-1): none is broken.", counted(len(pdfcheck.Rules()), "rule", "rules"))
	default:
		for _, f := range found {
			p.add("format", Noted, "%s", f.String())
		}
	}
}
