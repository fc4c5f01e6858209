package marking

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/golden"
)

func explained(t testing.TB, c *brief.Compiled, s Sheet) string {
	t.Helper()
	var b strings.Builder
	for i, e := range ExplainAll(c, s) {
		if i > 0 {
			b.WriteString("\n")
		}
		b.WriteString(e.Text())
	}
	return b.String()
}

// The golden file shows every figure of the example sheet worked out. Look at it when it changes.
func TestGoldenExplanations(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	text := explained(t, c, submitted(t))
	golden.Check(t, filepath.Join(data, "bay7-explained.txt"), []byte(text))
	if again := explained(t, c, submitted(t)); again != text {
		t.Error("the same brief and sheet gave another explanation")
	}
}

// explainedBriefs is every brief of the tests and of the demonstration.
func explainedBriefs(t *testing.T) map[string]*brief.Compiled {
	t.Helper()
	out := map[string]*brief.Compiled{}
	for _, pattern := range []string{filepath.Join(data, "EX-*.yaml"), filepath.Join(data, "bay7.yaml"), "../../seed/briefs/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("no brief at %s: %v", pattern, err)
		}
		for _, f := range files {
			src, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			out[filepath.Base(f)] = compile(t, src)
		}
	}
	return out
}

// Each line of working that is written for a trainee is put to the same test as working that a trainee writes: its sides
// are worked out again from its own text, with units and as bare numbers, and have to agree as far as shown digits allow.
func TestExplanationsReadBackAsRightWorking(t *testing.T) {
	lines := 0
	for name, c := range explainedBriefs(t) {
		for _, e := range ExplainAll(c, ModelSheet(c)) {
			if e.Given.Why != "" {
				t.Errorf("%s, %s: %s", name, e.Item, e.Given.Why)
			}
			for i, l := range e.Given.Lines {
				lines++
				checkLine(t, name+", "+e.Item, c, l, i > 0 || len(e.Given.Lines) == 1)
			}
		}
	}
	if lines < 60 {
		t.Errorf("only %d lines were looked at", lines)
	}
}

// shownDigits is how far a line may be out when it is worked again from what it shows.
const shownDigits = 1.0001e-4

func checkLine(t *testing.T, where string, c *brief.Compiled, l formula.Line, bare bool) {
	t.Helper()
	if l[0].Node.Kind == formula.NodeName {
		l = slices.Clone(l[1:])
		l[0].Sign = ""
	}
	text := l.Text()
	w, err := formula.ParseWorking(text)
	if err != nil {
		t.Errorf("%s: %s: %v", where, text, err)
		return
	}
	none := func(string) (float64, bool) { return 0, false }
	vs := w.Evaluate(formula.Env{Functions: c.Functions}, none)
	conversion := l[0].Node.Kind == formula.NodeNumber
	for i := 1; i < len(vs); i++ {
		a, b := vs[i-1], vs[i]
		if a.UnitErr != nil || b.UnitErr != nil {
			t.Errorf("%s: %s: %v %v", where, text, a.UnitErr, b.UnitErr)
			continue
		}
		allowed := shownDigits * math.Abs(b.SI)
		if n := l[i].Node; l[i-1].Node.Kind == formula.NodeNumber && i == len(vs)-1 { // the result as asked
			allowed = max(allowed, 1.001*n.Number.HalfUnit()*math.Abs(n.Unit.ToSI(1)-n.Unit.ToSI(0)))
		}
		if math.Abs(a.SI-b.SI) > allowed {
			t.Errorf("%s: %s: with units %v and %v", where, text, a.SI, b.SI)
		}
		if bare && !conversion && i == 1 && l[0].Node.Kind != formula.NodeCall && (a.BareErr != nil || math.Abs(a.Bare-b.Bare) > shownDigits*math.Abs(b.Bare)) {
			t.Errorf("%s: %s: as bare numbers %v and %v (%v)", where, text, a.Bare, b.Bare, a.BareErr)
		}
	}
}

// TestExplainsEveryForm works formulas out that use what the notation has and trade briefs rarely do.
func TestExplainsEveryForm(t *testing.T) {
	src := `brief: 1
key: forms
title: Every form
about: Nothing is built here.
criteria: [{unit: X-1, codes: ["1.1"]}]
given:
  - {name: a, is: a length, value: 2.50 m}
  - {name: b, is: another, value: 800 mm}
  - {name: t, is: a temperature, value: 20 °C}
  - {name: p, is: a gauge pressure, value: 1.5 bar(g)}
  - {name: w, is: a power, value: 3 kW}
  - {name: u, is: a voltage, value: 230 V}
  - {name: d, is: a tube, value: 22 mm}
  - {name: n, is: a number, value: "3"}
  - {name: s, is: a level, value: 60 dB}
  - {name: eta, is: an efficiency, value: 90 %}
  - {name: q, is: a flow, value: 12 L/min}
stages:
  - key: s1
    title: All
    items:
`
	for i, f := range [][2]string{
		{"m", "√(a² + b²)"}, {"m", "√(a × b)"}, {"m²", "π × d² / 4"}, {"m³", "π × d² / 4 × a"}, {"K", "kelvin(t) × 10 % / kelvin(t) × 1 K"}, {"bar(a)", "absolute(p)"}, {"bar", "absolute(p) − 1 bar(a)"},
		{"A", "w / u"}, {"-", "ln(n) + exp(1) − log10(n)"}, {"-", "ceil(n / 2) × floor(n / 2)"}, {"-", "sin(30 °) + cos(n) × tan(45 °)"}, {"m", "min(a, b, 3 m) + max(a, b) + abs(b − a)"},
		{"m", "mean(a, b, 3 m) + sd(a, b) − u_mean(a, b, 2 × b)"}, {"°C", "mean(t, 40 °C)"}, {"-", "interp(n, 1, 10, 2, 20, 4, 40)"}, {"dB", "s + 3 dB"}, {"kW", "w / eta"}, {"kW", "w × (1 − eta)"}, {"m", "−a + 3 × a"}, {"m", "(n + 4) m"}, {"m", "a × 2^n"}, {"m", "a × n^(−2)"},
		{"m/s", "q / (π × (d / 2)²)"}, {"°C", "0.3 × t + 0.7 × 40 °C"}, {"°C", "t + 5 K"}, {"W", "w"}, {"L", "q × 10 min"}, {"kWh", "w × 90 min"}, {"m", "b"}, {"-", "a / b"}, {"%", "b / a"}, {"m", "½ × a"}, {"m", "a × 1.2e-3"},
		{"kW", "q × 1 kg/L × 4.18 kJ/(kg·K) × 20 K"}, {"Pa", "q² × 1000 kg/m³ / (π × d² / 4)²"}, {"m", "((a + b) × 2 − (a − b) / 4) / 3"}, {"-", "(a / b)^1.3"}, {"m", "20 mm"}, {"-", "5"},
	} {
		src += fmt.Sprintf("      - {key: f%d, title: Figure %d, criteria: [\"1.1\"], figure: {ask: it, unit: \"%s\", formula: \"%s\", tolerance: {relative: 1 %%}}}\n", i, i, f[0], f[1])
	}
	c := compile(t, []byte(src))
	r := Mark(c, ModelSheet(c))
	for _, e := range ExplainAll(c, ModelSheet(c)) {
		if f := find(t, r, e.Item); e.Given.Result == nil || *e.Given.Result != *f.FromGiven {
			t.Errorf("%s: %v, the marker has %v", e.Item, e.Given.Result, *f.FromGiven)
		}
		for i, l := range e.Given.Lines {
			checkLine(t, e.Item+" "+e.Formula.Text(), c, l, i > 0 || len(e.Given.Lines) == 1)
		}
		if testing.Verbose() {
			t.Log("\n" + e.Text())
		}
	}
}

func TestExplainEndsInTheReference(t *testing.T) {
	for name, c := range explainedBriefs(t) {
		r := Mark(c, ModelSheet(c))
		for _, e := range ExplainAll(c, ModelSheet(c)) {
			f := find(t, r, e.Item)
			if f.FromGiven == nil { // a choice: see TestExplainedChoices
				continue
			}
			last := e.Given.Lines[len(e.Given.Lines)-1]
			found := false
			for _, s := range last {
				found = found || s.Node.Kind == formula.NodeNumber && s.Node.Unit.String() == f.Unit && math.Abs(s.Node.Number.Value()-*f.FromGiven) <= 1e-7*math.Abs(*f.FromGiven)
			}
			if !found {
				t.Errorf("%s, %s: %s does not hold the reference %v", name, e.Item, last.Text(), *f.FromGiven)
			}
		}
	}
}

func TestExplainOneFigure(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	e, err := Explain(c, submitted(t), "E")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := e.Formula.Text(), "E = P × 2 h"; got != want {
		t.Errorf("in symbols %q, want %q", got, want)
	}
	if e.Own == nil || e.Own.Lines[0].Text() != "E = 18.5 kW × 2 h = 37 kWh" {
		t.Errorf("from own answers: %+v", e.Own)
	}
	for _, item := range []string{"", "nothing", "qv", "why"} {
		if _, err := Explain(c, submitted(t), item); err == nil {
			t.Errorf("%q is no figure and no choice, and was explained", item)
		}
	}
}

func TestExplainSaysWhatIsMissing(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	blank("tr")(&s)
	e, err := Explain(c, s, "dT")
	if err != nil {
		t.Fatal(err)
	}
	if e.Given.Why != "Return temperature is not taken." || len(e.Given.Lines) > 0 {
		t.Errorf("why %q, lines %d", e.Given.Why, len(e.Given.Lines))
	}
	if !strings.Contains(e.Text(), "Return temperature is not taken.") {
		t.Errorf("the text does not say it:\n%s", e.Text())
	}
}

// Whatever is typed, an explanation comes back, and its lines fit a terminal where its words can be broken.
func TestAnySheetIsExplained(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	texts := rapid.StringMatching(`[<>-]?[0-9]{1,9}([.][0-9]{1,6})?(e-?[0-9]{1,2})?( ?(kW|W|K|°C|L|bar|mbar))?`)
	rapid.Check(t, func(rt *rapid.T) {
		s := bay7(t, c)
		for i := range s.Entries {
			if rapid.Bool().Draw(rt, "change") {
				s.Entries[i].Text = texts.Draw(rt, "text")
			}
		}
		for _, e := range ExplainAll(c, s) {
			if e.Given.Why == "" && len(e.Given.Lines) == 0 && len(e.Given.Options) == 0 {
				rt.Fatalf("%s: neither working nor a reason", e.Item)
			}
			for line := range strings.SplitSeq(e.Text(), "\n") {
				if utf8.RuneCountInString(line) > textWide+20 {
					rt.Fatalf("%s: %d columns: %s", e.Item, utf8.RuneCountInString(line), line)
				}
			}
		}
	})
}

func BenchmarkExplainAll(b *testing.B) {
	c := compiled(b, "bay7.yaml")
	s := submitted(b)
	for b.Loop() {
		ExplainAll(c, s)
	}
}
