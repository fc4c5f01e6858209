package portfolio

import (
	"fmt"
	"slices"
)

// uses reads the index the other way round: for every item that something was handed in for, the criteria that it serves. What
// was handed in once more at a later attempt stands there once more.
func uses(tasks []TaskSheet) []Use {
	var out []Use
	for i := range tasks {
		t := &tasks[i]
		for j := range t.Attempts {
			at := &t.Attempts[j]
			for k := range at.Stages {
				for m := range at.Stages[k].Items {
					if it := &at.Stages[k].Items[m]; it.Filled() {
						out = append(out, use(t, at, it))
					}
				}
			}
		}
	}
	return out
}

func use(t *TaskSheet, at *AttemptSheet, it *ItemSheet) Use {
	u := Use{Task: t.Number, Attempt: at.Number, Item: Ref{Title: fmt.Sprintf("%d %s", it.Number, it.Item.Title), Anchor: it.Anchor}}
	for _, f := range it.Files {
		u.Files = append(u.Files, f.Number)
	}
	for _, c := range at.Decisions {
		leads := Ref{Title: c.Code, Anchor: c.Anchor}
		rests := slices.ContainsFunc(c.Evidence, func(r Ref) bool { return r.Anchor == it.Anchor })
		switch {
		case rests && c.Named:
			u.Rests = append(u.Rests, leads)
		case rests || slices.Contains(it.Criteria, c.Code):
			u.Bears = append(u.Bears, leads)
		}
	}
	return u
}

// samples finds the attempt that each sample drew; one of an attempt that is not here leads nowhere.
func samples(all []Sample, tasks []TaskSheet) []SampleSheet {
	var out []SampleSheet
	for _, s := range all {
		sheet := SampleSheet{Sample: s, Where: Ref{Title: "an attempt that is not in this document"}}
		for i := range tasks {
			for j := range tasks[i].Attempts {
				if at := &tasks[i].Attempts[j]; at.ID == s.Attempt {
					sheet.Where = Ref{Title: fmt.Sprintf("Task %d, attempt %d", tasks[i].Number, at.Number), Anchor: at.Anchor}
				}
			}
		}
		out = append(out, sheet)
	}
	return out
}
