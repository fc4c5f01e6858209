package brief_test

import (
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// inOrder is a brief with its model answers in the order of its items, as a form gives it back.
func inOrder(b *brief.Brief) *brief.Brief {
	c := *b
	c.Model = slices.Clone(b.Model)
	place := func(m brief.ModelAnswer) int {
		n := 0
		for _, st := range b.Stages {
			for _, it := range st.Items {
				for _, s := range append(it.Slots(), brief.Slot{}) {
					if it.Key == m.Item && s.Part == m.Part && s.Phase == m.Phase {
						return n
					}
					n++
				}
			}
		}
		return n
	}
	slices.SortStableFunc(c.Model, func(a, b brief.ModelAnswer) int { return place(a) - place(b) })
	return &c
}

func printed(t interface{ Fatal(...any) }, b *brief.Brief) string {
	src, err := brief.Print(b)
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

// Every brief of the demonstration, and the sample, comes back from its fields.
func TestFieldsGiveBriefsBack(t *testing.T) {
	briefs := map[string]*brief.Brief{"sample": sample.Brief()}
	files, err := filepath.Glob("../../seed/briefs/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if briefs[file], err = brief.Read(src); err != nil {
			t.Fatal(err)
		}
	}
	for name, b := range briefs {
		got, problems := brief.FieldsOf(b).Brief()
		if d := cmp.Diff(printed(t, inOrder(b)), printed(t, got)); d != "" || len(problems) > 0 {
			t.Errorf("%s (-was +now):\n%s%v", name, d, problems)
		}
	}
}

// Whatever stands in a brief, its fields are settled: what a form gives back is given back again as it is.
func TestFieldsAreSettled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		once, problems := brief.FieldsOf(anyBrief(t)).Brief()
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		twice, _ := brief.FieldsOf(once).Brief()
		thrice, _ := brief.FieldsOf(twice).Brief()
		if d := cmp.Diff(printed(t, twice), printed(t, thrice)); d != "" {
			t.Fatalf("-twice +thrice:\n%s", d)
		}
	})
}

// Every list of texts has a way of being written into a form, and nothing else has.
func TestListsHaveAStyle(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var walk func(reflect.Type)
	walk = func(p reflect.Type) {
		for p.Kind() == reflect.Pointer || p.Kind() == reflect.Slice {
			p = p.Elem()
		}
		if p.Kind() != reflect.Struct || seen[p] {
			return
		}
		seen[p] = true
		for _, m := range brief.MembersOf(p) {
			f := p.Field(m.Index).Type
			texts := f.Kind() == reflect.Slice && f.Elem().Kind() == reflect.String
			if texts != (m.List != brief.NoList) {
				t.Errorf("%s.%s has the style %q", p.Name(), m.Name, m.List)
			}
			walk(f)
		}
	}
	walk(reflect.TypeFor[brief.Brief]())
}

func TestFieldsSayWhatIsNoNumber(t *testing.T) {
	f := brief.FieldsOf(sample.Brief())
	f["stages[0].items[0].photo.at-least"] = []string{"two"}
	_, problems := f.Brief()
	if len(problems) != 1 || problems[0].Path != "stages[0].items[0].photo.at-least" || !strings.Contains(problems[0].Text, "two") {
		t.Errorf("got %v", problems)
	}
}

func TestChanges(t *testing.T) {
	keys := func(b *brief.Brief) string {
		var ss []string
		for _, st := range b.Stages {
			s := st.Key + ":"
			for _, it := range st.Items {
				s += " " + it.Key
			}
			ss = append(ss, s)
		}
		return strings.Join(ss, "; ")
	}
	small := func() *brief.Brief {
		return &brief.Brief{
			Given:  []brief.Given{{Name: "q"}},
			Stages: []brief.Stage{{Key: "a", Items: []brief.Item{{Key: "x"}, {Key: "y"}}}, {Key: "b", Items: []brief.Item{{Key: "z"}}}},
			Model:  []brief.ModelAnswer{{Item: "x", Text: "1"}, {Item: "y", Text: "2"}},
		}
	}
	for _, test := range []struct {
		do, at, want string
		model        int
	}{
		{"down:stages[0].items[0]", "stages[0].items[1]", "a: y x; b: z", 2},
		{"down:stages[0].items[1]", "stages[1].items[0]", "a: x; b: y z", 2},
		{"up:stages[1].items[0]", "stages[0].items[2]", "a: x y z; b:", 2},
		{"up:stages[1]", "stages[0]", "b: z; a: x y", 2},
		{"remove:stages[0].items[0]", "stages[0].items", "a: y; b: z", 1},
		{"add:stages[1].items=photo", "stages[1].items[1]", "a: x y; b: z item1", 2},
		{"add:stages", "stages[2]", "a: x y; b: z; stage1:", 2},
		{"up:stages[0].items[0]", "", "a: x y; b: z", 2},
		{"down:stages[1]", "", "a: x y; b: z", 2},
		{"add:stages[1].items=poem", "", "a: x y; b: z", 2},
		{"remove:stages[7]", "", "a: x y; b: z", 2},
		{"add:title", "", "a: x y; b: z", 2},
		{"remove:nothing.here[0]", "", "a: x y; b: z", 2},
	} {
		b := small()
		c, ok := brief.ParseChange(test.do)
		if !ok || c.String() != test.do {
			t.Errorf("%s reads as %+v, %v", test.do, c, ok)
		}
		at, ok := c.Apply(b)
		if at != test.at || ok != (test.at != "") || keys(b) != test.want || len(b.Model) != test.model {
			t.Errorf("%s: got %q, %v, %s, %d answers; want %q, %s, %d", test.do, at, ok, keys(b), len(b.Model), test.at, test.want, test.model)
		}
	}
	for _, s := range []string{"", "save", "add", "add:", "turn:x"} {
		if c, ok := brief.ParseChange(s); ok {
			t.Errorf("%q reads as %+v", s, c)
		}
	}
}
