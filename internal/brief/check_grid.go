package brief

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// grid holds a functional test to its heads: every row has an entry for each demand and for each check.
func (k *checker) grid(t *FunctionalTest, path string, held bool) {
	var checks, rows []string
	for _, c := range t.Checks {
		checks = append(checks, c.Key)
	}
	for _, r := range t.Rows {
		rows = append(rows, r.Key)
	}
	k.distinct(checks, path+".checks[%d].key")
	k.distinct(rows, path+".rows[%d].key")
	whole := true
	for i, r := range t.Rows {
		at := fmt.Sprintf("%s.rows[%d]", path, i)
		if len(r.Set) != len(t.Demands) {
			whole = false
			k.say(at+".set", "Row “%s” sets %s; there are %d demands. Give one for each, in their order.", shorten(r.Key), entries(len(r.Set)), len(t.Demands))
		}
		if len(r.Expect) != len(t.Checks) {
			whole = false
			k.say(at+".expect", "Row “%s” expects %s; there are %d checks. Give one for each, in their order.", shorten(r.Key), entries(len(r.Expect)), len(t.Checks))
			continue
		}
		for j, want := range r.Expect {
			k.cell(t, j, want, fmt.Sprintf("%s.expect[%d]", at, j))
		}
	}
	if t.Live && !held {
		k.say(path+".live", "Nothing may be tested live before somebody has released it. Put a hold point at this stage or before it.")
	}
	k.holding(t, path)
	if whole {
		k.complete(t, path)
		k.faults(t, rows, path)
	}
}

// cell holds a word to the options of its check.
func (k *checker) cell(t *FunctionalTest, check int, word, path string) bool {
	c := &t.Checks[check]
	if slices.Contains(c.Options, word) {
		return true
	}
	k.say(path, "“%s” is none of the options of “%s”.", shorten(word), shorten(c.Title))
	k.problems[len(k.problems)-1].Hint = didYouMean(word, c.Options)
	return false
}

// holding holds the words for holding to columns that have them, in tests whose rows come one after another.
func (k *checker) holding(t *FunctionalTest, path string) {
	for j, c := range t.Checks {
		if c.Held == "" {
			continue
		}
		at := fmt.Sprintf("%s.checks[%d].held", path, j)
		switch {
		case !k.cell(t, j, c.Held, at):
		case !t.Ordered:
			k.say(at, "What is held depends on the row before. Add “ordered: true”, so that the rows are done in their order.")
		case len(t.Rows) > 0 && len(t.Rows[0].Expect) > j && t.Rows[0].Expect[j] == c.Held:
			k.warn(fmt.Sprintf("%s.rows[0].expect[%d]", path, j), "Nobody knows what was held before the first row. Start with a row that drives “%s”.", shorten(c.Title))
		}
	}
}

// statesListed is how many missing states a problem names.
const statesListed = 3

// complete holds a grid that says that it is complete to every combination of its demands' words.
func (k *checker) complete(t *FunctionalTest, path string) {
	if !t.Complete || len(t.Rows) == 0 {
		return
	}
	words, all, most := make([][]string, len(t.Demands)), 1, rules["FunctionalTest.rows"].entries()
	have := map[string]bool{}
	for _, r := range t.Rows {
		have[strings.Join(r.Set, "\x00")] = true
		for j, w := range r.Set {
			if !slices.Contains(words[j], w) {
				words[j] = append(words[j], w)
			}
		}
	}
	for _, ws := range words {
		if all *= len(ws); all > most {
			k.say(path+".complete", "The demands' words make more than %d states, and a grid has %d rows at most. Take “complete” out, or make two tests.", most, most)
			return
		}
	}
	var missing []string
	for n := range all {
		set := combination(words, n)
		if !have[strings.Join(set, "\x00")] {
			missing = append(missing, "“"+t.State(set)+"”")
		}
	}
	if n := len(missing); n > 0 {
		rest := ""
		if n > statesListed {
			rest = fmt.Sprintf(" and %d more", n-statesListed)
		}
		k.say(path+".complete", "%d of %d states have no row: %s%s. Add a row for each, or take “complete” out.", n, all, strings.Join(missing[:min(n, statesListed)], "; "), rest)
	}
}

// combination is the n-th one of the demands' words; the last demand changes fastest.
func combination(words [][]string, n int) []string {
	set := make([]string, len(words))
	for j := len(words) - 1; j >= 0; j-- {
		set[j] = words[j][n%len(words[j])]
		n /= len(words[j])
	}
	return set
}

// faults holds each fault to the grid: its rows and words exist, it shows at all, and no other shows the same.
func (k *checker) faults(t *FunctionalTest, rows []string, path string) {
	var keys []string
	sound := true
	for i := range t.Faults {
		keys = append(keys, t.Faults[i].Key)
		at := fmt.Sprintf("%s.faults[%d]", path, i)
		sound = k.shows(t, &t.Faults[i], rows, at+".shows") && sound
		if t.Live {
			k.look(&t.Faults[i], at)
		}
	}
	k.distinct(keys, path+".faults[%d].key")
	if sound {
		k.apart(t, path)
	}
}

// shows holds what a fault shows to the grid's rows and words, and reports whether all of it fits.
func (k *checker) shows(t *FunctionalTest, f *GridFault, rows []string, path string) bool {
	before := len(k.problems)
	var named []string
	for i, s := range f.Shows {
		at := fmt.Sprintf("%s[%d]", path, i)
		if !slices.Contains(rows, s.Row) {
			k.say(at+".row", "The grid has no row “%s”.", shorten(s.Row))
			k.problems[len(k.problems)-1].Hint = didYouMean(s.Row, rows)
		}
		named = append(named, s.Row)
		if len(s.Cells) != len(t.Checks) {
			k.say(at+".cells", "“%s” shows %s in row “%s”; there are %d checks. Give one for each, empty where it stays as expected.", shorten(f.Key), entries(len(s.Cells)), shorten(s.Row), len(t.Checks))
			continue
		}
		for j, word := range s.Cells {
			if word != "" {
				k.cell(t, j, word, fmt.Sprintf("%s.cells[%d]", at, j))
			}
		}
	}
	k.distinct(named, path+"[%d].row")
	return len(k.problems) == before
}

// apart names a fault that shows nothing, and faults that show the same: what is held is taken for what it is held from,
// as it is when the grid is marked.
func (k *checker) apart(t *FunctionalTest, path string) {
	first := map[string]string{sign(t.Positions(t.expected())): ""}
	for i, f := range t.compiledFaults() {
		s, at := sign(t.Positions(f.Grid)), fmt.Sprintf("%s.faults[%d]", path, i)
		switch other, seen := first[s]; {
		case seen && other == "":
			k.say(at+".shows", "With “%s” the grid is as expected, so nobody could tell that it is there. Say what it changes.", shorten(f.Fault.Key))
		case seen:
			k.warn(at, "“%s” and “%s” cannot be told apart by this grid: both show the same. Add a state or a check in which they differ, or make one fault of them.", shorten(other), shorten(f.Fault.Key))
		default:
			first[s] = f.Fault.Key
		}
	}
}

// sign is a grid as one text.
func sign(grid [][]string) string {
	var b strings.Builder
	for _, row := range grid {
		for _, word := range row {
			fmt.Fprintf(&b, "%q ", word)
		}
	}
	return b.String()
}

// mains are the words for places where a live test finds mains. Common practice, no source.
var mains = regexp.MustCompile(`(?i)\b(terminals?|wir(e|es|ing)|cables?|conductors?|connectors?|contacts?|relays?|switch(es|ed)?|spur|fuse|programmer|(thermo)?stats?|` +
	`actuators?|motors?|junction box|consumer unit|live|line|neutral)\b`)

// isolated is how a place to look at ends where mains is near.
const isolated = "dead and isolated"

// look asks for the caution where a tutor or trainee is sent to what a live test is done on.
func (k *checker) look(f *GridFault, path string) {
	if f.Look != "" && mains.MatchString(f.Look) && !strings.HasSuffix(strings.TrimRight(f.Look, ". "), isolated) {
		k.warn(path+".look", "Somebody will go there after a live test. End it with “%s”.", isolated)
	}
}
