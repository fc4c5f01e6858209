package app

import (
	"slices"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// explanations works the figures and choices of a marked attempt out step by step. That is done afresh, so one that does not
// come to the references that were stored is left out: it would explain another marker's word. They hold the checked answers:
// whoever may not read findings may not read these.
func explanations(c *brief.Compiled, l loaded) []marking.Explanation {
	if l.Marking == nil || c == nil {
		return nil
	}
	return slices.DeleteFunc(marking.ExplainAll(c, sheetOf(l)), func(e marking.Explanation) bool {
		return !slices.ContainsFunc(l.Marking.Result.Findings, func(f marking.Finding) bool {
			return f.Item == e.Item && same(e.Given.Result, f.FromGiven) && e.Given.Answer == f.Expected &&
				(e.Own == nil || same(e.Own.Result, f.FromOwn) && e.Own.Answer == f.ExpectedOwn)
		})
	})
}

func same(a, b *float64) bool { return a == b || a != nil && b != nil && *a == *b }

// explain puts explanations beside the findings that they belong to.
func (s *Sheet) explain(all []marking.Explanation) {
	for i := range s.Stages {
		for j := range s.Stages[i].Items {
			it := &s.Stages[i].Items[j]
			at := slices.IndexFunc(all, func(e marking.Explanation) bool { return e.Item == it.Key })
			for k := range it.Lines {
				if at >= 0 && it.Lines[k].Finding != nil {
					it.Lines[k].Explained = &all[at]
				}
			}
		}
	}
}
