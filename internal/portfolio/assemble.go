package portfolio

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

// Assemble puts a portfolio together: the index, then every task in the order of src with every attempt at it. Nothing of
// src is left out; what belongs to no place of the brief is kept apart and shown as such.
func Assemble(src Source) Document {
	a := assembly{unit: src.Unit, photos: src.Photos, seen: map[string]int{}, texts: map[string]string{}}
	for _, o := range src.Unit.Outcomes {
		for _, c := range o.Criteria {
			a.texts[src.Unit.Code+"/"+c.Code] = c.Text
		}
	}
	d := Document{
		ID: src.ID.String(), MadeAt: src.MadeAt, CentreName: src.CentreName, CentreCode: src.CentreCode,
		Trainee: src.Trainee, TraineeCode: src.TraineeCode, Cohort: src.Cohort, Photos: src.Photos, Unit: src.Unit,
	}
	for i, t := range src.Tasks {
		d.Tasks = append(d.Tasks, a.task(i+1, t))
		d.Attempts += len(t.Attempts)
		for _, at := range t.Attempts {
			d.Judges = judges(d.Judges, at.Records)
		}
	}
	d.Files = a.files
	d.Index, d.Uses = index(src.Unit, d.Tasks), uses(d.Tasks)
	d.Samples = samples(src.Samples, d.Tasks)
	for _, o := range d.Index {
		for _, r := range o.Rows {
			met, signed := r.standing()
			d.Criteria++
			d.Met += count(met)
			d.SignedOff += count(met && signed)
		}
	}
	return d
}

// judges adds those who decided or signed off and are not named yet.
func judges(named []string, records []decision.Record) []string {
	for _, r := range records {
		if r.Kind != decision.KindCriterion && r.Kind != decision.KindSignOff {
			continue
		}
		who := r.ByName
		if r.Role != "" {
			who += ", " + r.RoleWords()
		}
		if !slices.Contains(named, who) {
			named = append(named, who)
		}
	}
	return named
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// assembly is what numbers run through.
type assembly struct {
	unit   Unit
	photos Photos
	texts  map[string]string // of the unit's criteria, by reference
	files  []File
	seen   map[string]int // number of the first file with a digest
}

func (a *assembly) task(n int, t Task) TaskSheet {
	s := TaskSheet{Number: n, Anchor: fmt.Sprintf("task-%d", n), Task: t}
	for _, ref := range t.Brief.CriterionRefs() {
		s.Criteria = append(s.Criteria, Criterion{Code: a.code(ref), Text: a.texts[ref]})
	}
	for _, at := range t.Attempts {
		if len(at.Given) > 0 {
			s.Given = given(cmp.Or(at.Brief, t.Brief), at.Given)
			break
		}
	}
	if s.Given == nil {
		s.Given = given(t.Brief, nil)
	}
	for _, at := range t.Attempts {
		s.Attempts = append(s.Attempts, a.attempt(&s, at))
	}
	return s
}

func given(b *brief.Brief, drawn map[string]string) []GivenRow {
	var rows []GivenRow
	for _, g := range b.Given {
		r := GivenRow{Given: g, Drawn: drawn[g.Name]}
		if r.Drawn == "" && g.From == "" {
			r.Drawn = g.Value
		}
		rows = append(rows, r)
	}
	return rows
}

// code is a criterion's reference as this portfolio writes it: alone where it is the unit's own.
func (a *assembly) code(ref string) string {
	if own, ok := strings.CutPrefix(ref, a.unit.Code+"/"); ok {
		return own
	}
	return ref
}

// file numbers a file and says how it is to be shown.
func (a *assembly) file(e Evidence, where Ref) File {
	f := File{Number: len(a.files) + 1, Evidence: e, Where: where, SameAs: a.seen[e.Digest]}
	f.Anchor = fmt.Sprintf("file-%d", f.Number)
	f.Show, f.Shown = a.photos.show(e)
	if f.SameAs == 0 && e.Digest != "" {
		a.seen[e.Digest] = f.Number
	}
	a.files = append(a.files, f)
	return f
}

// signed says whether an attempt in this state has been signed off.
func signed(s decision.State) bool {
	switch s {
	case decision.SignedOff, decision.Cleared, decision.Claimed, decision.Archived, decision.Destroyed:
		return true
	}
	return false
}

// Signed says whether the attempt has been signed off.
func (s *AttemptSheet) Signed() bool { return signed(s.State) }

// SignOff is the sign-off that counts; nil where there is none.
func (s *AttemptSheet) SignOff() *Act {
	for i := range s.Closing {
		if a := &s.Closing[i]; a.Kind == decision.KindSignOff && !a.Superseded {
			return a
		}
	}
	return nil
}

// counts says whether an attempt's decisions count towards the unit.
func counts(s decision.State) bool { return s != decision.SetAside && s != decision.Withdrawn }
