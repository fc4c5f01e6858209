package app

import "witnessmark/internal/marking"

// explain puts explanations beside the findings that they belong to. They are made from the sheet afresh, so one that does
// not come to the reference that was stored is left out: it would explain another marker's word.
func (s *Sheet) explain(all []marking.Explanation) {
	byItem := make(map[string]*marking.Explanation, len(all))
	for i := range all {
		byItem[all[i].Item] = &all[i]
	}
	for i := range s.Stages {
		for j := range s.Stages[i].Items {
			for k := range s.Stages[i].Items[j].Lines {
				l := &s.Stages[i].Items[j].Lines[k]
				e := byItem[l.Item]
				if l.Finding != nil && e != nil && same(e.Given.Result, l.Finding.FromGiven) && (e.Own == nil || same(e.Own.Result, l.Finding.FromOwn)) {
					l.Explained = e
				}
			}
		}
	}
}

func same(a, b *float64) bool { return a == b || a != nil && b != nil && *a == *b }
