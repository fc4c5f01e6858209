package decision

import (
	"slices"
	"strings"
	"testing"
)

// What a sampler disagrees about is decided afresh, each criterion of it.
func TestReturned(t *testing.T) {
	disagree := func(who string, refs ...string) Record {
		return Record{Kind: KindSample, Outcome: string(Disagree), ByName: who, Words: "Look again.", Evidence: refs}
	}
	decided := func(ref string) Record { return Record{Kind: KindCriterion, Subject: ref, Outcome: string(Met)} }
	back := func(ref string) Record { return Record{Kind: KindCriterion, Subject: ref, Outcome: TakenBack} }
	agree := Record{Kind: KindSample, Outcome: string(Agree)}
	for _, c := range []struct {
		name    string
		records []Record
		want    []string // still to be decided
		by      int      // disagreements of which something is left
	}{
		{"never sampled", []Record{decided("H2/1.1")}, nil, 0},
		{"agreed with", []Record{decided("H2/1.1"), agree}, nil, 0},
		{"disagreed with", []Record{decided("H2/1.1"), disagree("Iris", "H2/1.1", "H2/1.2")}, []string{"H2/1.1", "H2/1.2"}, 1},
		{"another one decided", []Record{disagree("Iris", "H2/1.1"), decided("H2/2.1")}, []string{"H2/1.1"}, 1},
		{"one of two decided", []Record{disagree("Iris", "H2/1.1", "H2/1.2"), decided("H2/1.1")}, []string{"H2/1.2"}, 1},
		{"taken back alone", []Record{decided("H2/1.1"), disagree("Iris", "H2/1.1"), back("H2/1.1")}, []string{"H2/1.1"}, 1},
		{"decided", []Record{disagree("Iris", "H2/1.1", "H2/1.2"), decided("H2/1.2"), decided("H2/1.1")}, nil, 0},
		{"two disagreements", []Record{disagree("Iris", "H2/1.1"), disagree("Noor", "H2/1.1", "H2/1.2")}, []string{"H2/1.1", "H2/1.2"}, 2},
		{"the first of two answered", []Record{disagree("Iris", "H2/1.1"), disagree("Noor", "H2/1.2"), decided("H2/1.1")}, []string{"H2/1.2"}, 1},
		{"agreed with later", []Record{disagree("Iris", "H2/1.1"), agree}, nil, 0},
		{"none named", []Record{disagree("Iris")}, []string{""}, 1},
		{"none named, one decided", []Record{disagree("Iris"), decided("H2/2.1")}, nil, 0},
	} {
		got := Returned(c.records)
		if got == nil {
			got = &Return{}
		}
		if !slices.Equal(got.Criteria, c.want) || len(got.By) != c.by {
			t.Errorf("%s: %q by %d, want %q by %d", c.name, got.Criteria, len(got.By), c.want, c.by)
		}
		for _, ref := range []string{"H2/1.1", "H2/1.2", "H2/2.1"} {
			if r := Returned(c.records).Of(ref); (r != nil) != slices.Contains(c.want, ref) {
				t.Errorf("%s: the disagreement about %s is %+v", c.name, ref, r)
			}
		}
		if err := CheckReturned(c.records); (err != nil) != (c.by > 0) {
			t.Errorf("%s: closing it: %v", c.name, err)
		}
	}
	if err := CheckReturned([]Record{disagree("Iris", "H2/1.1", "H2/1.2"), decided("H2/1.1")}); !strings.Contains(err.Error(), "decide afresh: H2/1.2.") {
		t.Errorf("what is left is told as %v", err)
	}
}
