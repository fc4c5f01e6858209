package marking

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/golden"
	"witnessmark/internal/quantity"
)

// submitted is the example submission for bay7.yaml.
func submitted(t testing.TB) Sheet {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(data, "bay7-submission.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := ReadSheet(src)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func asJSON(t testing.TB, r Result) []byte {
	t.Helper()
	b, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(b, '\n')
}

// The golden files show one full result, with every kind of sentence a person reads. Look at them when they change.
func TestGoldenResult(t *testing.T) {
	r := Mark(compiled(t, "bay7.yaml"), submitted(t))
	golden.Check(t, filepath.Join(data, "bay7-result.json"), asJSON(t, r))
	golden.Check(t, filepath.Join(data, "bay7-result.txt"), []byte(Table(r)))
}

func TestPolicy16EveryVerdictStoresWhatItRestsOn(t *testing.T) {
	r := Mark(compiled(t, "bay7.yaml"), submitted(t))
	if r.Engine != Engine || r.Properties == "" {
		t.Errorf("engine %q, properties %q", r.Engine, r.Properties)
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Code == "" || f.Trainee == "" || f.Tutor == "" {
			t.Errorf("%s: code %q, sentences %q and %q", f.Line(), f.Code, f.Trainee, f.Tutor)
		}
		if f.Verdict == Correct && f.Tolerance != "" && (f.FromGiven == nil || f.FromOwn == nil || f.Read == nil || f.Converted == nil) {
			t.Errorf("%s: a reference or a value is missing", f.Line())
		}
	}
}

func TestPromise1MarkingTwiceIsByteIdentical(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	first := asJSON(t, Mark(c, submitted(t)))
	for range 20 {
		if again := asJSON(t, Mark(compiled(t, "bay7.yaml"), submitted(t))); !bytes.Equal(first, again) {
			t.Fatal("the same brief and sheet gave another result")
		}
	}
	var back Result
	if err := json.Unmarshal(first, &back); err != nil {
		t.Fatal(err)
	}
	if again := asJSON(t, back); !bytes.Equal(first, again) {
		t.Error("a result does not come back from JSON as it was")
	}
}

func TestNumbersAreStoredWithTwelveDigits(t *testing.T) {
	r := Mark(compiled(t, "bay7.yaml"), submitted(t))
	for i := range r.Findings {
		f := &r.Findings[i]
		for _, x := range []*float64{f.Read, f.Converted, f.FromGiven, f.FromOwn} {
			if x != nil && *x != quantity.Stored(*x) {
				t.Errorf("%s: %v has more than 12 digits", f.Line(), *x)
			}
		}
	}
}

// Whatever is typed, a line gets a verdict with both sentences, numbers that JSON can hold, and no more marks than there are.
func TestAnySheetIsMarked(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	texts := rapid.OneOf(rapid.String(), rapid.StringMatching(`[<>≤≥-]?[0-9]{1,6}([.,][0-9]{1,4})?( ?(kW|W|K|°C|L|bar|mbar|V|OL))?`),
		rapid.SampledFrom([]string{"OL", ">200", "1,5", "NaN", "1e999", "it does", "8 L", "yes", "runs"}))
	rapid.Check(t, func(rt *rapid.T) {
		s := bay7(t, c)
		for i := range s.Entries {
			if rapid.Bool().Draw(rt, "change") {
				s.Entries[i].Text = texts.Draw(rt, "text")
				s.Entries[i].Unit = rapid.SampledFrom([]string{"", "kW", "W", "K", "°C", "furlong"}).Draw(rt, "unit")
				s.Entries[i].Working = texts.Draw(rt, "left") + " = " + texts.Draw(rt, "right")
			}
		}
		r := Mark(c, s)
		if _, err := json.Marshal(r); err != nil {
			rt.Fatal(err)
		}
		if r.Marks > r.Available || r.Marks < 0 {
			rt.Fatalf("%d of %d marks", r.Marks, r.Available)
		}
		for i := range r.Findings {
			f := &r.Findings[i]
			if f.Code == "" || f.Trainee == "" || f.Tutor == "" {
				rt.Fatalf("%s (%s): code %q, sentences %q, %q", f.Line(), f.Verdict, f.Code, f.Trainee, f.Tutor)
			}
			if f.Safety && !f.Verdict.Full() && !f.Blocks {
				rt.Fatalf("%s is safety-critical, %s, and does not block", f.Line(), f.Verdict)
			}
			for _, bad := range []string{"error", "invalid", "oops", "!", "%!"} {
				if strings.Contains(strings.ToLower(withoutStated(f.Trainee)), bad) {
					rt.Fatalf("%s: the sentence says %q: %s", f.Line(), bad, f.Trainee)
				}
			}
		}
		if Table(r) == "" {
			rt.Fatal("no table")
		}
	})
}

// withoutStated takes out what the trainee typed, which may hold any word.
func withoutStated(s string) string {
	if strings.ContainsAny(s, "“\"") || strings.Contains(s, "You wrote") || strings.Contains(s, "you saw") {
		return ""
	}
	return s
}

// A figure stated in another unit of the same dimension gets the same verdict and marks.
func TestScalingUnitsChangesNothing(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	rapid.Check(t, func(rt *rapid.T) {
		milliwatts := rapid.IntRange(1_000_000, 30_000_000).Draw(rt, "figure in mW")
		results := map[string]*Finding{}
		for unit, places := range map[string]int{"W": 3, "kW": 6, "MW": 9} {
			s := bay7(t, c)
			put("P", decimalText(milliwatts, places), unit)(&s)
			results[unit] = find(t, Mark(c, s), "P")
		}
		w := results["kW"]
		for unit, f := range results {
			if f.Verdict != w.Verdict || f.Marks != w.Marks || math.Abs(*f.Converted-*w.Converted) > 1e-9**w.Converted {
				rt.Fatalf("in %s: %s %d %v; in kW: %s %d %v", unit, f.Verdict, f.Marks, *f.Converted, w.Verdict, w.Marks, *w.Converted)
			}
		}
	})
}

// decimalText writes n × 10^-places without a binary number in between.
func decimalText(n, places int) string {
	s := strconv.Itoa(n)
	if len(s) <= places {
		s = strings.Repeat("0", places-len(s)+1) + s
	}
	return s[:len(s)-places] + "." + s[len(s)-places:]
}

// Entries are marked by the brief's order, whatever theirs.
func TestTheOrderOfEntriesDoesNotMatter(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	want := asJSON(t, Mark(c, submitted(t)))
	rapid.Check(t, func(rt *rapid.T) {
		s := submitted(t)
		s.Entries = rapid.Permutation(s.Entries).Draw(rt, "order")
		if got := asJSON(t, Mark(c, s)); !bytes.Equal(got, want) {
			rt.Fatalf("another result:\n%s", got)
		}
	})
}

func TestFlagsOnTheSheet(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, row := range []struct {
		name string
		do   change
		want string
	}{
		{"a right sheet has none", func(*Sheet) {}, ""},
		{"a broken cross-check is a flag, not a mark", func(s *Sheet) { put("tr", "75")(s) }, "cross_check"},
		{"a cross-check over a missing reading says nothing", func(s *Sheet) { blank("tr")(s) }, ""},
		{"an entry for no item", func(s *Sheet) { put("chimney", "1")(s) }, "unknown_item"},
		{"an entry for no part", func(s *Sheet) { put("qv#4", "1")(s) }, "unknown_item"},
		{"an entry for no phase", func(s *Sheet) { put("tr@as-left", "1")(s) }, "unknown_item"},
		{"a check for no reading", check("dT", "1"), "unknown_item"},
		{"two entries for one line", func(s *Sheet) { s.Entries = append(s.Entries, Entry{Item: "dT", Text: "18.4"}) }, "entered_twice"},
		{"a given the brief does not have", given("chimney", "1 m"), "unknown_given"},
		{"a given in another dimension", given("Vs", "96 kW"), "given_unread"},
		{"a given that is not drawn", func(s *Sheet) { delete(s.Given, "load") }, "given_missing"},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := bay7(t, c)
			row.do(&s)
			var codes []string
			for _, f := range Mark(c, s).Flags {
				codes = append(codes, f.Code)
				if f.Text == "" {
					t.Errorf("%s has no words", f.Code)
				}
			}
			if got := strings.Join(codes, " "); got != row.want {
				t.Errorf("got %q, want %q", got, row.want)
			}
		})
	}
	s := bay7(t, c)
	put("tr", "75")(&s)
	delete(s.Given, "load")
	if f := find(t, Mark(c, s), "share"); f.Verdict != ToRead || f.Code != codeNoReference {
		t.Errorf("a figure over a given that was not drawn: got %s (%s)", f.Verdict, f.Code)
	}
}

func TestPolicy01SupportOfACriterion(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	for _, criterion := range c.Brief.CriterionRefs() {
		if got := Support(c, Mark(c, s), criterion); got.Blocked() || len(got.Lines) == 0 {
			t.Errorf("%s on a right sheet: %d lines, blocked by %v", criterion, len(got.Lines), got.Reasons())
		}
	}
	// One failed safety-critical reading keeps its criterion from being met, whatever the rest scores, and no other.
	put("cpc", "0.9")(&s)
	r := Mark(c, s)
	got := Support(c, r, "1.1")
	if len(got.Blocking) != 1 || got.Blocking[0].Item != "cpc" || got.Criterion != "BSE-101/1.1" {
		t.Errorf("1.1: blocked by %v", got.Reasons())
	}
	if got := Support(c, r, "BSE-101/2.1"); got.Blocked() {
		t.Errorf("2.1: blocked by %v", got.Reasons())
	}
	if got := Support(c, r, "1.1").Items; strings.Join(got, " ") != "isolation cpc ir read" {
		t.Errorf("items of 1.1: %v", got)
	}
	// A reading that still needs its check blocks what rests on it, with a reason that a person can read.
	s = bay7(t, c)
	unchecked("pset")(&s)
	got = Support(c, Mark(c, s), "2.2")
	if len(got.Blocking) != 1 || !strings.Contains(strings.Join(got.Reasons(), ""), "not seen or checked") {
		t.Errorf("2.2: blocked by %v", got.Reasons())
	}
}

func TestModelFullFindsWhatIsNot(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, row := range []struct {
		name string
		do   func(*brief.Brief)
		want string
	}{
		{"a figure that is not right", func(b *brief.Brief) { setModel(b, "dT", "17.5") }, "dT P"},
		{"a reading outside its limit", func(b *brief.Brief) { setModel(b, "cpc", "0.6") }, "cpc"},
		{"readings that break a cross-check", func(b *brief.Brief) { setModel(b, "tr", "70") }, "dT P E share ratio enough sheet-1"},
	} {
		t.Run(row.name, func(t *testing.T) {
			b := *c.Brief
			b.Model = append([]brief.ModelAnswer(nil), b.Model...)
			row.do(&b)
			changed, problems := brief.Compile(&b, functions())
			if err := problems.Err(); err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, f := range ModelFull(changed) {
				got = append(got, f.Item)
			}
			if got := strings.Join(got, " "); got != row.want {
				t.Errorf("got %q, want %q", got, row.want)
			}
		})
	}
}

func setModel(b *brief.Brief, item, text string) {
	for i := range b.Model {
		if b.Model[i].Item == item {
			b.Model[i].Text = text
		}
	}
}

func TestSentences(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, row := range []struct {
		name    string
		do      []change
		line    string
		trainee string
		tutor   string
	}{
		{
			"two digits changed places", []change{put("P", "18.5", "kW"), working("P", "12.4 ÷ 60 × 0.988 × 4.18 × (69.8 − 51.3) = 15.8 kW")}, "P",
			"You wrote 18.5\u2009kW; from the given and measured values it comes to 15.79\u2009kW (±\u20093\u2009%). Your working gives 15.8\u2009kW; you wrote 18.5\u2009kW. Check whether two digits changed places. Your method is right: what you wrote comes to 15.79\u2009kW. Go through the arithmetic again.",
			"Stated 18.5\u2009kW against 15.79\u2009kW, ±\u20093\u2009%: 2.71\u2009kW more (17.2\u2009%).",
		},
		{
			"a slip is said to the tutor alone", []change{put("P", "947", "kW")}, "P",
			"You wrote 947\u2009kW; from the given and measured values it comes to 15.79\u2009kW (±\u20093\u2009%).",
			"Stated 947\u2009kW against 15.79\u2009kW, ±\u20093\u2009%: 931\u2009kW more (about 60 times as much). Looks like a slip: litres per minute taken as litres per second.",
		},
		{
			"follow-through on what is fitted", []change{put("Ve", "3.0"), put("double", "6.0")}, "double",
			"6.0\u2009L follows from your own earlier figures, but the true value decides here, and that is 7.68\u2009L. Method right; do not install to this figure.",
			"Stated 6.0\u2009L against 7.68\u2009L, ±\u20091\u2009%: outside; right from their own earlier figures, which give 6\u2009L, but this line is safety-critical and the true value decides.",
		},
		{
			"a reading beyond its limit", []change{put("tf@as-left", "84")}, "tf@as-left",
			"84\u2009°C is beyond the limit (at least 60\u2009°C, at most 80\u2009°C). Find the cause, put it right and take it again; the first reading stays on the sheet.",
			"84\u2009°C is beyond the limit (at least 60\u2009°C, at most 80\u2009°C).",
		},
		{
			"a mean", nil, "qv",
			"12.4\u2009L/min, the mean of 12.3, 12.4 and 12.5, keeps the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
			"12.4\u2009L/min, the mean of 12.3, 12.4 and 12.5, keeps the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
		},
		{
			"a mean to one digit more than its readings", []change{put("qv#1", "12.3"), put("qv#2", "12.4"), put("qv#3", "12.4")}, "qv",
			"12.37\u2009L/min, the mean of 12.3, 12.4 and 12.4, keeps the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
			"12.37\u2009L/min, the mean of 12.3, 12.4 and 12.4, keeps the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
		},
		{
			"a mean of whole numbers", []change{put("qv#1", "12"), put("qv#2", "12"), put("qv#3", "13")}, "qv",
			"12.3\u2009L/min, the mean of 12, 12 and 13, keeps the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
			"12.3\u2009L/min, the mean of 12, 12 and 13, keeps the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
		},
		{
			"a mean just beyond its limit", []change{put("qv#1", "16"), put("qv#2", "16.0"), put("qv#3", "16.01")}, "qv",
			"16.003\u2009L/min, the mean of 16, 16.0 and 16.01, is beyond the limit (at least 10\u2009L/min, at most 16\u2009L/min). Find the cause, put it right and take it again; the first reading stays on the sheet.",
			"16.003\u2009L/min, the mean of 16, 16.0 and 16.01, is beyond the limit (at least 10\u2009L/min, at most 16\u2009L/min).",
		},
		{
			"a figure with nothing to compare it with", []change{put("tr", "<51.4")}, "dT",
			"Your tutor reads this one.",
			"Stated “18.5\u2009K”. There is nothing to compare this with: Return temperature is known only as <51.4.",
		},
		{
			"a grid cell", []change{put("grid#rests/pump", "runs")}, "grid#rests/pump",
			"You saw “runs”; on a job put right it is “stands”. Find out why before you go on.",
			"Seen “runs”, expected “stands”.",
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := bay7(t, c)
			for _, do := range row.do {
				do(&s)
			}
			f := find(t, Mark(c, s), row.line)
			if f.Trainee != row.trainee {
				t.Errorf("to the trainee:\n got %s\nwant %s", f.Trainee, row.trainee)
			}
			if f.Tutor != row.tutor {
				t.Errorf("to the tutor:\n got %s\nwant %s", f.Tutor, row.tutor)
			}
		})
	}
}

func TestVerdictsHaveWords(t *testing.T) {
	seen := map[string]bool{}
	for _, v := range Verdicts() {
		w := v.Words()
		if w == "" || strings.Contains(w, "_") || seen[w] {
			t.Errorf("%s reads %q", v, w)
		}
		seen[w] = true
	}
}
