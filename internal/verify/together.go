package verify

import (
	"cmp"
	"fmt"
	"slices"
)

// Together holds portfolios against one another: of those that are of one log, each newer state must go on from the one before. It
// gives a line for each two that follow on one another; none where no two are of one log.
func Together(all []*Portfolio) []Line {
	logs := map[string][]*Portfolio{}
	var names []string
	for _, p := range all {
		if p.State.Size == 0 {
			continue
		}
		if logs[p.State.Origin] == nil {
			names = append(names, p.State.Origin)
		}
		logs[p.State.Origin] = append(logs[p.State.Origin], p)
	}
	var lines []Line
	for _, name := range names {
		of := logs[name]
		slices.SortStableFunc(of, func(a, b *Portfolio) int { return cmp.Compare(a.State.Size, b.State.Size) })
		for i := 1; i < len(of); i++ {
			lines = append(lines, continues(of[i-1], of[i]))
		}
	}
	return lines
}

// continues says whether the log of one portfolio goes on from that of another.
func continues(older, newer *Portfolio) Line {
	pair := fmt.Sprintf("The log %s at %d entries", newer.State.Origin, newer.State.Size)
	proven, err := newer.Log.GoesOn(newer.State.Checkpoint, older.State.Checkpoint)
	switch {
	case err != nil:
		return Line{"between files", Broken, fmt.Sprintf("%s, of one portfolio, does not go on from its state at %d entries, of another: an entry was changed or removed in between, "+
			"or the centre shows two logs.", pair, older.State.Size)}
	case proven:
		return Line{"between files", Holds, fmt.Sprintf("%s goes on from its state at %d entries: nothing was changed or removed in between.", pair, older.State.Size)}
	}
	if words := contradicts(older, newer); words != "" {
		return Line{"between files", Broken, words}
	}
	return Line{"between files", NotChecked, fmt.Sprintf("%s brings no proof that it goes on from its state at %d entries; have the newer portfolio, or another of the older, made once more.",
		pair, older.State.Size)}
}

// contradicts finds an entry that two portfolios of one log show as two.
func contradicts(older, newer *Portfolio) string {
	was := map[int64]string{}
	for _, e := range older.Log.Entries {
		was[e.Index] = string(e.Leaf)
	}
	for _, e := range newer.Log.Entries {
		if leaf, ok := was[e.Index]; ok && leaf != string(e.Leaf) {
			return fmt.Sprintf("Entry %d of the log %s is one thing in one portfolio and another in the other.", e.Index, newer.State.Origin)
		}
	}
	return ""
}
