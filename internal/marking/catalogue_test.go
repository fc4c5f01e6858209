package marking

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// vector is one row of vectors.json or worked.json: inputs of a calculation, its answer, and what each known slip leads to,
// worked by a separate program.
type vector struct {
	Calc      string
	Inputs    map[string]float64
	Answer    float64
	Unit      string
	Tolerance struct {
		Kind  string
		Value float64
	}
	Slips map[string]struct {
		Value   float64
		Outside bool `json:"outside_tolerance"`
	} `json:"mal_rules"`
}

// vectors gives the rows of vectors.json by calculation.
func vectors(t *testing.T) map[string][]vector {
	t.Helper()
	return byCalculation(t, "vectors.json", 996)
}

// byCalculation reads a file of so many vectors, which are of all 83 calculations.
func byCalculation(t *testing.T, name string, want int) map[string][]vector {
	t.Helper()
	var rows []vector
	decode(t, name, &rows)
	byCalc := map[string][]vector{}
	for _, r := range rows {
		byCalc[r.Calc] = append(byCalc[r.Calc], r)
	}
	if len(rows) != want || len(byCalc) != 83 {
		t.Fatalf("got %d vectors of %d calculations in %s, want %d of 83", len(rows), len(byCalc), name, want)
	}
	return byCalc
}

// catalogued is a line of catalogue.txt: a calculation as a brief asks for it. Where it asks for a choice, sizes or options
// are there, and formula is what the sizes are compared with.
type catalogued struct {
	calc, asked, formula string
	sizes                []string
	options              []brief.Option
	inputs               []catalogueInput
}

type catalogueInput struct {
	name, symbol string // as the formula has it, and as vectors.json has it: x is a sign in the notation
	from, to     string
	unit         string
}

// catalogueLines reads the catalogue: a line for each of the 83 calculations, then some of them again by functions.
func catalogueLines(t *testing.T) []catalogued {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(data, "catalogue.txt"))
	if err != nil {
		t.Fatal(err)
	}
	var out []catalogued
	for line := range strings.Lines(string(src)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		parts := strings.Split(strings.TrimSpace(line), "|")
		if len(parts) != 4 {
			t.Fatalf("%q has %d parts", line, len(parts))
		}
		c := catalogued{calc: strings.TrimSpace(parts[0]), asked: strings.TrimSpace(parts[1])}
		c.question(strings.TrimSpace(parts[2]))
		for _, in := range strings.Split(parts[3], ";") {
			words := strings.Fields(in)
			from, to, _ := strings.Cut(words[1], "..")
			symbol := words[0]
			if symbol == "xc" {
				symbol = "x"
			}
			c.inputs = append(c.inputs, catalogueInput{words[0], symbol, from, to, strings.Join(words[2:], " ")})
		}
		out = append(out, c)
	}
	return out
}

// question reads what is asked: a formula, "sizes 3, 5, 13 of FORMULA", or "option 22 if CONDITION; option 28".
func (c *catalogued) question(text string) {
	c.formula = text
	if sizes, ok := strings.CutPrefix(text, "sizes "); ok {
		sizes, c.formula, _ = strings.Cut(sizes, " of ")
		c.sizes = strings.Split(sizes, ", ")
	}
	if strings.HasPrefix(text, "option ") {
		c.formula = ""
		for _, option := range strings.Split(text, ";") {
			size, when, _ := strings.Cut(strings.TrimPrefix(strings.TrimSpace(option), "option "), " if ")
			c.options = append(c.options, brief.Option{Text: size + " " + c.asked, When: when})
		}
	}
}

// figure says that a figure is asked for, not a choice.
func (c *catalogued) figure() bool { return c.sizes == nil && c.options == nil }

// catalogue gives the figures of the catalogue by calculation, each by its first line, where nothing is hidden in a function.
func catalogue(t *testing.T) map[string]catalogued {
	t.Helper()
	out := map[string]catalogued{}
	for _, c := range catalogueLines(t) {
		if _, again := out[c.calc]; !again && c.figure() {
			out[c.calc] = c
		}
	}
	return out
}

// given is the input as a brief has it, over its whole range.
func (in catalogueInput) given(t *testing.T) brief.Given {
	from, to := number(t, in.from), number(t, in.to)
	g := brief.Given{Name: in.name, Is: "input", From: in.text(from), To: in.text(to), Step: inUnit((to-from)/50, differenceOf(in.unit))}
	if from == to {
		g = brief.Given{Name: in.name, Is: "input", Value: in.text(from)}
	}
	return g
}

func (in catalogueInput) text(x float64) string { return inUnit(x, in.unit) }

func inUnit(x float64, unit string) string {
	return strings.TrimSpace(strconv.FormatFloat(x, 'f', -1, 64) + " " + unit)
}

func differenceOf(unit string) string { return quantity.MustUnit(unit).Difference().String() }

// givens are the inputs as a brief has them.
func (c *catalogued) givens(t *testing.T) []brief.Given {
	t.Helper()
	var out []brief.Given
	for _, in := range c.inputs {
		out = append(out, in.given(t))
	}
	return out
}

// values are the inputs that a vector has.
func (c *catalogued) values(v vector) map[string]string {
	out := map[string]string{}
	for _, in := range c.inputs {
		out[in.name] = in.text(v.Inputs[in.symbol])
	}
	return out
}

// figureBrief is a brief of one figure.
func figureBrief(t *testing.T, givens []brief.Given, f brief.Figure, v vector, ruledOut ...string) *brief.Compiled {
	t.Helper()
	switch v.Tolerance.Kind {
	case "rel":
		f.Tolerance = &brief.Tolerance{Relative: inUnit(v.Tolerance.Value, "%")}
	case "abs":
		f.Tolerance = &brief.Tolerance{Absolute: inUnit(v.Tolerance.Value, differenceOf(f.Unit))}
	default:
		f.Tolerance = &brief.Tolerance{Exact: true}
	}
	f.Ask = "the answer"
	return oneItem(t, givens, brief.Item{Figure: &f}, v.Calc, ruledOut...)
}

// oneItem is a brief of one item, called "answer".
func oneItem(t *testing.T, givens []brief.Given, it brief.Item, calc string, ruledOut ...string) *brief.Compiled {
	t.Helper()
	it.Key, it.Title, it.Criteria = "answer", "Answer", []string{"1.1"}
	b := &brief.Brief{
		Edition: brief.Edition, Key: "vector", Title: "Vector", About: "One calculation.", Given: givens, RuledOut: ruledOut,
		Criteria: []brief.CriterionRef{{Unit: "BSE-101", Codes: []string{"1.1"}}},
		Stages:   []brief.Stage{{Key: "work", Title: "Work", Items: []brief.Item{it}}},
	}
	c, problems := brief.Compile(b, functions())
	if err := problems.Err(); err != nil {
		t.Fatalf("%s: %v", calc, err)
	}
	return c
}
