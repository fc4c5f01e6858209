package marking

import (
	"iter"
	"maps"
	"runtime"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// sheets hands out one sheet a key, as a store would.
func sheets(from map[string]Sheet) iter.Seq2[string, Sheet] {
	return func(yield func(string, Sheet) bool) {
		for _, k := range slices.Sorted(maps.Keys(from)) {
			if !yield(k, from[k]) {
				return
			}
		}
	}
}

func TestRemarkMarksEachAsItComes(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	from := map[string]Sheet{"a": submitted(t), "b": bay7(t, c), "c": {}}
	var keys []string
	for k, r := range Remark(c, sheets(from)) {
		keys = append(keys, k)
		if diff := cmp.Diff(Mark(c, from[k]), r); diff != "" {
			t.Errorf("%s (-Mark +Remark):\n%s", k, diff)
		}
		if k == "b" {
			break // whoever reads may stop
		}
	}
	if !slices.Equal(keys, []string{"a", "b"}) {
		t.Errorf("got %v", keys)
	}
}

// The tolerance of one figure was put right and a question is new: who had it wrong gains, who lost nothing stays, and the
// old results are kept as they were.
func TestRemarkAgainSaysWhoChanges(t *testing.T) {
	was, now := compiled(t, "bay7.yaml"), compiled(t, "bay7.yaml")
	for i := range now.Items {
		switch now.Items[i].Item.Key {
		case "P":
			now.Items[i].Tolerance.Relative = 0.10
		case "ratio":
			now.Items[i].Tolerance.Relative = 0.0001
		}
	}
	sheet := func(changes ...change) Sheet {
		s := bay7(t, was)
		put("ratio", "0.91836")(&s) // as exact as the new tolerance asks
		for _, ch := range changes {
			ch(&s)
		}
		return s
	}
	for _, c := range []struct {
		name  string
		sheet Sheet
		want  Shift
		lines map[string]Shift
	}{
		{"nothing to do with it", sheet(), Same, nil},
		{"gains", sheet(put("P", "16.9", "kW"), put("ratio", "0.87")), Mixed, map[string]Shift{"P": Up, "ratio": Down}},
		{"gains only", sheet(put("P", "16.9", "kW"), blank("E"), blank("share"), blank("ratio"), blank("enough")), Up, map[string]Shift{"P": Up}},
		{"loses", sheet(put("ratio", "0.92")), Down, map[string]Shift{"ratio": Down}},
		{"left blank", sheet(blank("P")), Same, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			old := Mark(was, c.sheet)
			past := func(yield func(int, Past) bool) { yield(7, Past{Sheet: c.sheet, Result: old}) }
			for k, a := range RemarkAgain(now, past) {
				got := map[string]Shift{}
				for _, ch := range a.Changes {
					got[ch.Line] = ch.Shift
				}
				if k != 7 || a.Shift() != c.want || !maps.Equal(got, c.lines) {
					t.Errorf("key %d: %s %v, want %s %v", k, a.Shift(), got, c.want, c.lines)
				}
				if diff := cmp.Diff(Mark(was, c.sheet), a.Was); diff != "" {
					t.Errorf("the old result is not what it was:\n%s", diff)
				}
				if diff := cmp.Diff(Mark(now, c.sheet), a.Now); diff != "" {
					t.Errorf("the new result is not Mark's:\n%s", diff)
				}
			}
		})
	}
}

// However many sheets stream through, nothing of them stays behind.
func TestRemarkKeepsNothing(t *testing.T) {
	c, s := compiled(t, "bay7.yaml"), submitted(t)
	inUse := func() int64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	endless := func(yield func(int, Past) bool) {
		for i := 0; yield(i, Past{Sheet: s}); i++ {
		}
	}
	var before int64
	for i := range RemarkAgain(c, endless) {
		switch i {
		case 200: // what is made once is made by now
			before = inUse()
		case 2200:
			if more := inUse() - before; more > 256<<10 {
				t.Errorf("2000 sheets left %d KiB behind", more>>10)
			}
			return
		}
	}
}

func TestChangesOfLines(t *testing.T) {
	line := func(item string, v Verdict, marks int, blocks bool) Finding {
		return Finding{Item: item, Verdict: v, Code: "x", Marks: marks, Blocks: blocks}
	}
	slipped := line("a", Wrong, 0, false)
	slipped.Slip = &SlipMatch{Key: "k"}
	for _, c := range []struct {
		name     string
		was, now []Finding
		want     map[string]Shift
	}{
		{"the same", []Finding{line("a", Correct, 1, false)}, []Finding{line("a", Correct, 1, false)}, map[string]Shift{}},
		{"more marks for it", []Finding{line("a", Correct, 1, false)}, []Finding{line("a", Correct, 3, false)}, map[string]Shift{"a": Up}},
		{"right, and now followed through", []Finding{line("a", Correct, 1, false)}, []Finding{line("a", FollowThrough, 1, false)}, map[string]Shift{"a": Aside}},
		{"wrong, and now for the tutor", []Finding{line("a", Wrong, 0, false)}, []Finding{line("a", ToRead, 0, false)}, map[string]Shift{"a": Aside}},
		{"holds up no more", []Finding{line("a", WithinLimit, 0, true)}, []Finding{line("a", WithinLimit, 0, false)}, map[string]Shift{"a": Up}},
		{"has its marks and holds up", []Finding{line("a", Wrong, 0, false)}, []Finding{line("a", Correct, 1, true)}, map[string]Shift{"a": Down}},
		{"a slip was found", []Finding{line("a", Wrong, 0, false)}, []Finding{slipped}, map[string]Shift{"a": Aside}},
		{"a line is new and one is gone", []Finding{line("a", Correct, 1, false)}, []Finding{line("b", Correct, 1, false)}, map[string]Shift{"a": Aside, "b": Aside}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := map[string]Shift{}
			for _, ch := range Changes(Result{Findings: c.was}, Result{Findings: c.now}) {
				got[ch.Line] = ch.Shift
			}
			if !maps.Equal(got, c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

// A block that was decoded once is marked under a corrected brief, and its codes go the way that Mark's findings do.
func TestBulkMarksABlockUnderACorrectedBrief(t *testing.T) {
	was, now := compiled(t, "bay7.yaml"), compiled(t, "bay7.yaml")
	for i := range now.Items {
		if it := &now.Items[i]; it.Item.Figure != nil {
			it.Tolerance.Relative *= 4
			if it.Item.Key == "dT" {
				it.Tolerance.Absolute = 0.001
			}
		}
	}
	old, corrected := NewBulk(was, 8), NewBulk(now, 8)
	shifts := map[Shift]int{}
	rapid.Check(t, func(t *rapid.T) {
		block := old.NewBlock()
		var sheets []Sheet
		for range 8 {
			s := drawSheet(t, was)
			old.Add(block, s)
			sheets = append(sheets, s)
		}
		before, after := old.NewCodes(), corrected.NewCodes()
		old.Mark(block, before)
		corrected.Mark(block, after)
		for row, s := range sheets {
			a, b := Mark(was, s), Mark(now, s)
			for i, it := range old.Figures() {
				f, g := findingOf(a, it.Item.Key), findingOf(b, it.Item.Key)
				want := Same
				if f.Verdict.Full() != g.Verdict.Full() {
					want = map[bool]Shift{true: Up, false: Down}[g.Verdict.Full()]
				} else if findingWords(f) != findingWords(g) {
					want = Aside
				}
				if got := before[i][row].Shift(after[i][row]); got != want {
					t.Fatalf("%s stated %q: got %s, want %s", it.Item.Key, f.Stated, got, want)
				}
				shifts[want]++
			}
		}
	})
	if testing.Short() {
		return // too few sheets to say that they went every way
	}
	if shifts[Up] == 0 || shifts[Down] == 0 || shifts[Same] == 0 {
		t.Errorf("the correction moved nobody one way: %v", shifts)
	}
}
