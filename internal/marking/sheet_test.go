package marking

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

func TestReadSheetKeepsDigits(t *testing.T) {
	want := Sheet{
		Trainee: "T-07", Given: map[string]string{"load": "14.50 kW", "n": "1.00"},
		Entries: []Entry{
			{Item: "dT", Text: "18.50", Unit: "K"},
			{Item: "tf", Phase: brief.AsLeft, Text: "69.8"},
			{Item: "qv", Part: "1", Text: "12.4"},
			{Item: "P", Text: "15.8", Unit: "kW", Working: "a = 1\nb = 2"},
		},
		Checks: []CheckReading{{Item: "tf", Phase: brief.AsLeft, Text: "69.6"}, {Item: "tr", Seen: true}},
	}
	for name, src := range map[string]string{
		"YAML": "trainee: T-07\ngiven: {load: 14.50 kW, n: 1.00}\nentries:\n  - {item: dT, text: 18.50, unit: K}\n  - {item: tf, phase: as-left, text: 69.8}\n  - {item: qv, part: 1, text: '12.4'}\n  - item: P\n    text: 15.8\n    unit: kW\n    working: |\n      a = 1\n      b = 2\nchecks:\n  - {item: tf, phase: as-left, text: 69.6}\n  - {item: tr, seen: true}\n",
		"JSON": `{"trainee":"T-07","given":{"load":"14.50 kW","n":"1.00"},"entries":[{"item":"dT","text":"18.50","unit":"K"},{"item":"tf","phase":"as-left","text":"69.8"},{"item":"qv","part":"1","text":"12.4"},{"item":"P","text":"15.8","unit":"kW","working":"a = 1\nb = 2"}],"checks":[{"item":"tf","phase":"as-left","text":"69.6"},{"item":"tr","seen":true}]}`,
	} {
		got, err := ReadSheet([]byte(src))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

func TestReadSheetRefuses(t *testing.T) {
	for _, c := range []struct{ name, src, field, says string }{
		{"nothing", "", "1:1", "empty"},
		{"only a comment", "# nothing\n", "1:1", "empty"},
		{"an unknown name", "entries:\n  - {item: P, txt: 3}\n", "2:15", `"txt" is not known in an entry`},
		{"an unknown name at the top", "entry: []\n", "1:1", "one of trainee, given, entries, earlier, checks"},
		{"a name twice", "trainee: a\ntrainee: b\n", "2:1", "stands here twice"},
		{"a list where a text belongs", "trainee: [a]\n", "1:10", "Words or a number"},
		{"a text where a list belongs", "entries: none\n", "1:10", "A list belongs here"},
		{"an entry without an item", "entries:\n  - {text: 3}\n", "2:5", "needs item"},
		{"a switch where a text belongs", "trainee: true\n", "1:10", "quotes"},
		{"a text where a switch belongs", "checks:\n  - {item: a, seen: maybe}\n", "2:21", "true or false"},
		{"no such phase", "entries:\n  - {item: a, phase: before, text: 1}\n", "2:22", "as-found or as-left"},
		{"an anchor", "trainee: &a T-07\n", "1:10", "Anchors"},
		{"an alias", "trainee: *a\n", "1:10", "alias"},
		{"a tag", "trainee: !!str 7\n", "1:10", "tags"},
		{"two documents", "trainee: a\n---\ntrainee: b\n", "2:1", "one submission only"},
		{"a bracket that is not closed", "entries: [1, 2", "1:10", "never closed"},
		{"a tab", "\tentries: []\n", "1:8", "tab"},
		{"nested too deep", "entries: " + strings.Repeat("[", 50_000), "1:18", "deep"},
		{"dashes nested too deep", "entries:\n  " + strings.Repeat("- ", 50_000), "2:19", "deep"},
		{"not UTF-8", "trainee: \xff\n", "1:10", "UTF-8"},
		{"too large", "trainee: " + strings.Repeat("a", 1<<20), "file", "too large: a submission has 1048576 bytes at most"},
		{"too many rows", "entries:\n" + strings.Repeat("- {item: a}\n", 2001), "2:1", "2001 rows"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadSheet([]byte(c.src))
			f, ok := fault.As(err)
			if !ok || f.Kind != fault.KindInvalid {
				t.Fatalf("got %+v, %v; want a fault that a person can mend", s, err)
			}
			if f.Fields[0].Name != c.field || !strings.Contains(strings.ToLower(f.Message), strings.ToLower(c.says)) {
				t.Errorf("got field %q and %q, want %q with %q", f.Fields[0].Name, f.Message, c.field, c.says)
			}
			if s.Entries != nil || s.Given != nil {
				t.Errorf("half a sheet came back: %+v", s)
			}
		})
	}
}

func TestTheExampleSubmissionMarks(t *testing.T) {
	src, err := os.ReadFile(filepath.Join(data, "bay7-submission.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := ReadSheet(src)
	if err != nil {
		t.Fatal(err)
	}
	if s.Trainee != "T-07" || len(s.Entries) < 20 {
		t.Errorf("got %q with %d entries", s.Trainee, len(s.Entries))
	}
}

// FuzzReadSheet: no input makes it panic, what it refuses it refuses as something that a person can mend, and what it
// takes comes back the same when it is written as JSON and read again.
func FuzzReadSheet(f *testing.F) {
	f.Add([]byte("trainee: T-07\ngiven: {a: 1}\nentries:\n  - {item: P, text: 3}\nchecks:\n  - {item: a, seen: true}\n"))
	f.Add([]byte(`{"entries":[{"item":"a","text":"1"}]}`))
	f.Add([]byte("entries: [{item: a, at: 10:42}, {item: b, at: \"23:59:59\"}]\n"))
	f.Add([]byte("entries: [{item: a, at: 2026-05-03T10:42:30.5+24:00}]\n"))
	f.Add([]byte("entries: [{item: a, at: 0000-01-01T00:00:00-23:59}]\n"))
	f.Add([]byte("a: &x [*x]\n"))
	f.Add([]byte("? a\n: - b\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		s, err := ReadSheet(src)
		if err != nil {
			if fault.KindOf(err) != fault.KindInvalid {
				t.Errorf("%q: %v is not for a person", src, err)
			}
			return
		}
		again, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		if len(again) > MaxSheetBytes || string(again) == "{}" {
			return
		}
		back, err := ReadSheet(again)
		if err != nil {
			t.Fatalf("%s from %q: %v", again, src, err)
		}
		if diff := cmp.Diff(s, back, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%q (-first +second):\n%s", src, diff)
		}
	})
}
