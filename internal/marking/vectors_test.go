package marking

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/golden"
	"witnessmark/internal/quantity"
)

// stated is a number as a person states it to so many figures.
func statedTo(x float64, figures int) string {
	return strings.NewReplacer("−", "-", "\u2009", "", "\u202f", "", " ", "").Replace(quantity.RoundFigures(x, figures))
}

func markOne(t *testing.T, c *brief.Compiled, given map[string]string, text string) *Finding {
	t.Helper()
	r := Mark(c, Sheet{Given: given, Entries: []Entry{{Item: "answer", Text: text}}})
	return &r.Findings[0]
}

// declaring is the brief of a calculation that declares a vector's slips, with their values as givens. An option's slips are
// declared as the options that they lead to, so such a brief is good for that vector alone.
func (c *catalogued) declaring(t *testing.T, v vector, keys []string) *brief.Compiled {
	t.Helper()
	givens := c.givens(t)
	var slips []brief.Slip
	for i, key := range keys {
		s := brief.Slip{Key: key, Is: key, Formula: slipName(i)}
		if c.options != nil {
			s.Formula, s.Option = "", c.stated(v.Slips[key].Value)
			if !v.Slips[key].Outside {
				continue // leads to the right one
			}
		} else {
			givens = append(givens, brief.Given{Name: slipName(i), Is: key, Value: inUnit(1, c.asked)})
		}
		slips = append(slips, s)
	}
	if c.figure() {
		return figureBrief(t, givens, brief.Figure{Unit: c.asked, Formula: c.formula, Slips: slips}, v, "constant-water", "flat-expansion")
	}
	choice := brief.Choice{Ask: "the answer", Options: c.options, Slips: slips}
	if c.sizes != nil {
		choice.Size = &brief.Size{Formula: c.formula, Unit: c.asked, Sizes: c.sizes}
	}
	return oneItem(t, givens, brief.Item{Choice: &choice}, c.calc)
}

func slipName(i int) string { return "slip_" + strconv.Itoa(i) }

// stated is an answer as it is handed in: a figure to nine figures, a choice with its unit.
func (c *catalogued) stated(x float64) string {
	if c.figure() {
		return statedTo(x, 9)
	}
	return inUnit(x, c.asked)
}

// Each of the 996 vectors, and each of the 83 worked examples, is marked with its right answer and with the value of each
// of its slips, which the brief declares. Inside the tolerance a slip is right; outside it is named, unless another slip has
// the same digits. Where the catalogue says a calculation twice, both ways have to come to that.
func TestVectorsDeclaredSlipsAreNamed(t *testing.T) {
	examples, seen := byCalculation(t, "worked.json", 83), map[string]int{}
	all := map[string][]vector{}
	for calc, rows := range vectors(t) {
		all[calc] = append(rows, examples[calc]...)
	}
	var first, again tally
	for _, c := range catalogueLines(t) {
		if seen[c.calc]++; seen[c.calc] == 1 {
			c.markAll(t, all[c.calc], &first)
		} else {
			c.markAll(t, all[c.calc], &again)
		}
	}
	t.Logf("%+v, and again by functions %+v", first, again)
	if len(seen) != 83 || first.answers != 996+83 || first.slips != 3384+282 || first.named+first.several+first.inside != first.slips || first.named < 3300 {
		t.Errorf("%d calculations, %+v", len(seen), first)
	}
	if again.answers != 53*13 || again.named+again.several+again.inside != again.slips {
		t.Errorf("by functions %+v", again)
	}
}

// tally counts what became of the vectors' answers and slips.
type tally struct{ answers, slips, named, several, inside int }

func (c *catalogued) markAll(t *testing.T, rows []vector, n *tally) {
	t.Helper()
	asGood := map[string]float64{"G02": 2e-6} // a cubic foot is 0.0283168 m³ in its vectors
	keys := slices.Sorted(maps.Keys(rows[0].Slips))
	var brf *brief.Compiled
	for _, v := range rows {
		if brf == nil || c.options != nil {
			brf = c.declaring(t, v, keys)
		}
		given := c.values(v)
		for i, key := range keys {
			given[slipName(i)] = inUnit(v.Slips[key].Value, c.asked)
		}
		n.answers++
		right := markOne(t, brf, given, c.stated(v.Answer))
		if right.Verdict != Correct {
			t.Fatalf("%s, %s: the answer %v is %s\n%s", c.calc, c.formula, v.Answer, right.Verdict, right.Tutor)
		}
		if within := (asGood[c.calc] + 1e-9) * math.Abs(v.Answer); c.figure() && (right.FromGiven == nil || math.Abs(*right.FromGiven-v.Answer) > within) {
			t.Fatalf("%s, %s: the answer is %v, reference %v", c.calc, c.formula, v.Answer, right.FromGiven)
		}
		for _, key := range keys {
			n.slips++
			c.markSlip(t, brf, given, v, key, n)
		}
	}
}

func (c *catalogued) markSlip(t *testing.T, brf *brief.Compiled, given map[string]string, v vector, key string, n *tally) {
	t.Helper()
	slip := v.Slips[key]
	got := markOne(t, brf, given, c.stated(slip.Value))
	switch {
	case !slip.Outside && got.Verdict == Correct:
		n.inside++
	case got.Verdict != Wrong:
		t.Errorf("%s %s: %v against %v is %s (%s)", c.calc, key, slip.Value, v.Answer, got.Verdict, got.Code)
	case got.Slip != nil && got.Slip.Key == key:
		n.named++
	case slices.ContainsFunc(got.Candidates, func(s SlipMatch) bool { return s.Key == key }), got.Slip != nil && sameDigits(v.Slips[got.Slip.Key].Value, slip.Value):
		n.several++
	default:
		t.Errorf("%s %s: stated %s, and the marker says %v, %v\n%s", c.calc, key, statedTo(slip.Value, 9), got.Slip, got.Candidates, got.Tutor)
	}
}

func sameDigits(a, b float64) bool { return statedTo(a, 9) == statedTo(b, 9) }

// What the marker makes of slips that no brief declares: each slip of the vectors is stated to five figures, and the file
// says which of the formula's own variants is named for it, in how many of its vectors. Look at it when it changes: a slip
// that nothing explains is one that a tutor has to declare.
func TestVectorsSlipsThatNobodyDeclared(t *testing.T) {
	formulas := catalogue(t)
	rows := vectors(t)
	var out strings.Builder
	all, explained := 0, 0
	for _, calc := range slices.Sorted(maps.Keys(formulas)) {
		c := formulas[calc]
		brf := figureBrief(t, c.givens(t), brief.Figure{Unit: c.asked, Formula: c.formula}, rows[calc][0])
		if n := len(brf.Items[0].Wrongs().Ways); n > 60 {
			t.Errorf("%s has %d variants", calc, n)
		}
		for _, key := range slices.Sorted(maps.Keys(rows[calc][0].Slips)) {
			words := map[string]int{}
			outside := 0
			for _, v := range rows[calc] {
				if !v.Slips[key].Outside {
					continue
				}
				outside++
				given := c.values(v)
				stated := statedTo(v.Slips[key].Value, 5)
				if v.Tolerance.Kind == "exact" {
					stated = statedFor(Tolerance{Exact: true}, v.Slips[key].Value)
				}
				got := markOne(t, brf, given, stated)
				switch {
				case got.Verdict == Correct:
					words["right by a rule of thumb"]++
				case got.Slip != nil:
					words[got.Slip.Is]++
				case len(got.Candidates) > 0:
					words["one of "+strconv.Itoa(len(got.Candidates))]++
				default:
					words["nothing"]++
					continue
				}
				explained++
			}
			all += outside
			fmt.Fprintf(&out, "%s %s:", calc, key)
			for i, w := range slices.SortedFunc(maps.Keys(words), func(a, b string) int { return strings.Compare(a, b) }) {
				sep := map[bool]string{true: " ", false: ", "}[i == 0]
				fmt.Fprintf(&out, "%s%s %d", sep, w, words[w])
			}
			out.WriteString("\n")
		}
	}
	fmt.Fprintf(&out, "%d of %d explained\n", explained, all)
	golden.Check(t, filepath.Join(data, "vector-slips.txt"), []byte(out.String()))
}

// A wrong figure that has nothing to do with any slip seldom looks like one: at three figures less often than leastFigures
// allows for, because not all ways of working lead near the right answer.
func TestSlipsAreSeldomNamedByChance(t *testing.T) {
	formulas := catalogue(t)
	rows := vectors(t)
	random := rand.New(rand.NewPCG(15, 3))
	tried, named, listed := 0, 0, 0
	for _, calc := range slices.Sorted(maps.Keys(formulas)) {
		c, v := formulas[calc], rows[calc][0]
		given := c.values(v)
		brf := figureBrief(t, c.givens(t), brief.Figure{Unit: c.asked, Formula: c.formula}, v)
		for range 60 {
			f := markOne(t, brf, given, statedTo(v.Answer*math.Pow(10, 2*random.Float64()-1), 3))
			if f.Verdict != Wrong {
				continue
			}
			tried++
			if f.Slip != nil {
				named++
			}
			if len(f.Candidates) > 0 {
				listed++
			}
		}
	}
	t.Logf("%d wrong figures, %d named, %d listed", tried, named, listed)
	if tried < 4000 || named > tried*3/100 {
		t.Errorf("of %d wrong figures by chance %d were named and %d listed", tried, named, listed)
	}
}
