package sampling

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// rows reads a CSV file of testdata without a header.
func rows(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// checkValue is a value of stats_check_values.csv, which names the source of each: published ones, and the same recomputed by
// another program.
func checkValue(t *testing.T, name string) float64 {
	t.Helper()
	for _, r := range rows(t, "stats_check_values.csv") {
		if r[0] == name {
			v, err := strconv.ParseFloat(r[2], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
	}
	t.Fatalf("no check value %q", name)
	return 0
}

// turned has the columns of a matrix as rows.
func turned(m [][]string) Judgements {
	out := make(Judgements, len(m[0]))
	for i := range out {
		for _, row := range m {
			out[i] = append(out[i], row[i])
		}
	}
	return out
}

func wantFigure(t *testing.T, what string, got Figure, want float64) {
	t.Helper()
	if !got.Known || math.Abs(got.Value-want) > 1e-9 {
		t.Errorf("%s: got %+v, want %.10f", what, got, want)
	}
}

// Four observers of twelve things with judgements missing: Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011).
func TestAlphaWithMissingJudgements(t *testing.T) {
	j := turned(rows(t, "krippendorff_4x12.csv"))
	if len(j) != 12 || len(j[0]) != 4 {
		t.Fatalf("%d things, %d observers", len(j), len(j[0]))
	}
	a := Agree(j, "1", "2", 1)
	wantFigure(t, "alpha", a.Alpha, checkValue(t, "Krippendorff alpha nominal"))
	if a.Things != 11 || a.TooFew { // the twelfth was judged by one alone
		t.Errorf("%d things judged by two or more, too few %v", a.Things, a.TooFew)
	}
}

// Two observers of ten things, two categories (the same paper, section A, data from memory).
func TestAlphaOfTwoObservers(t *testing.T) {
	a := Agree(turned([][]string{strings.Split("0100000010", ""), strings.Split("1110010000", "")}), "1", "0", 1)
	wantFigure(t, "alpha", a.Alpha, checkValue(t, "Krippendorff alpha binary"))
	wantFigure(t, "raw", a.Raw, 0.6)
	wantFigure(t, "positive", a.Positive, 2.0/6)
	wantFigure(t, "negative", a.Negative, 10.0/14)
	if a.Pairs != 10 || a.TooFew {
		t.Errorf("%+v", a)
	}
}

// Ten things, fourteen observers, five categories: with nothing missing, alpha follows from Fleiss' kappa, since it corrects the
// chance agreement for the number of judgements: 1 - alpha = (1 - kappa)(n-1)/n. The raw agreement is published as 0.378.
func TestAlphaAgainstFleiss(t *testing.T) {
	var j Judgements
	for _, r := range rows(t, "fleiss_10x14.csv") {
		var thing []string
		for category, n := range r {
			times, err := strconv.Atoi(n)
			if err != nil {
				t.Fatal(err)
			}
			for range times {
				thing = append(thing, strconv.Itoa(category))
			}
		}
		j = append(j, thing)
	}
	a := Agree(j, "4", "0", 1)
	wantFigure(t, "alpha", a.Alpha, 1-(1-checkValue(t, "Fleiss kappa"))*139/140)
	if math.Abs(a.Raw.Value-0.378) > 0.0005 {
		t.Errorf("raw agreement %v, published as 0.378", a.Raw)
	}
}

// Two people on fifty things: 20 both yes, 15 both no, 5 and 10 apart (the table of Cohen's kappa in stats_check_values.csv).
func TestPositiveAndNegativeAgreement(t *testing.T) {
	a := Agree(table(20, 5, 10, 15), "yes", "no", 1)
	wantFigure(t, "raw", a.Raw, 0.7)
	wantFigure(t, "positive", a.Positive, 40.0/55)
	wantFigure(t, "negative", a.Negative, 30.0/45)
	// For two people alpha corrects Scott's pi in the same way, pi = 1 - 2·15·100/(55·45+45·55) here.
	wantFigure(t, "alpha", a.Alpha, 1-(99*30.0)/(2*55*45))
}

// table is what two people said of as many things as a two-by-two table counts.
func table(both, first, second, neither int) Judgements {
	var j Judgements
	for _, c := range []struct {
		n    int
		a, b string
	}{{both, "yes", "yes"}, {first, "yes", "no"}, {second, "no", "yes"}, {neither, "no", "no"}} {
		for range c.n {
			j = append(j, []string{c.a, c.b})
		}
	}
	return j
}

func TestFiguresThatCannotBeKnown(t *testing.T) {
	for _, c := range []struct {
		name string
		j    Judgements
		want Agreement
	}{
		{"nobody", nil, Agreement{TooFew: true}},
		{"one judge alone", Judgements{{"yes"}, {"no"}, {"", "no"}}, Agreement{TooFew: true}},
		{"everybody said yes", Judgements{{"yes", "yes"}, {"yes", "yes", "yes"}},
			Agreement{Things: 2, Pairs: 4, Raw: known(1), Positive: known(1), TooFew: true}},
	} {
		if got := Agree(c.j, "yes", "no", 1); got != c.want {
			t.Errorf("%s: got %+v, want %+v", c.name, got, c.want)
		}
	}
}

// Where nearly all is met, chance-corrected figures are near zero though people agree on nine in ten (the paradox of kappa): all
// four stand together so that nobody reads alpha alone.
func TestAgreementWhereNearlyAllIsMet(t *testing.T) {
	a := Agree(table(90, 5, 5, 0), "yes", "no", 1)
	wantFigure(t, "raw", a.Raw, 0.9)
	if a.Alpha.Value > 0.05 || a.Positive.Value < 0.94 || a.Negative.Value != 0 {
		t.Errorf("%+v", a)
	}
}

func TestIntervalFollowsFromItsSeed(t *testing.T) {
	j := table(20, 5, 10, 15)
	a, again, other := Agree(j, "yes", "no", 7), Agree(j, "yes", "no", 7), Agree(j, "yes", "no", 8)
	if a != again {
		t.Errorf("the same seed gives %+v, then %+v", a, again)
	}
	if a.Low == other.Low && a.High == other.High {
		t.Error("another seed gives the same interval")
	}
	if !a.Low.Known || !a.High.Known || a.Low.Value >= a.Alpha.Value || a.High.Value <= a.Alpha.Value {
		t.Errorf("alpha %v lies outside %v to %v", a.Alpha, a.Low, a.High)
	}
	// The standard error of kappa for this table is √(0.7·0.3/(50·0.5²)) = 0.13 (Cohen 1960, from memory), so 95 % are about 0.5 wide.
	if w := a.High.Value - a.Low.Value; w < 0.35 || w > 0.65 {
		t.Errorf("the interval is %.3f wide", w)
	}
	wide := Agree(table(4, 1, 2, 3), "yes", "no", 7)
	if wide.High.Value-wide.Low.Value <= a.High.Value-a.Low.Value {
		t.Errorf("a fifth of the things gives a narrower interval: %+v", wide)
	}
}

func TestOrderOfJudgesDoesNotMatter(t *testing.T) {
	j := turned(rows(t, "krippendorff_4x12.csv"))
	want := Agree(j, "1", "2", 3)
	for _, row := range j {
		row[0], row[3] = row[3], row[0]
	}
	if got := Agree(j, "1", "2", 3); got != want {
		t.Errorf("with two judges changed about: got %+v, want %+v", got, want)
	}
}
