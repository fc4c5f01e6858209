package brief

import (
	"errors"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Compile resolves a brief's names in order, parses its units and quantities and compiles its formulas and conditions;
// functions are what formulas may call besides the notation's own and the brief's tables. A brief that names rules is put
// under a book first (Under). Problems are all that it found; with failures among them the compiled brief is nil.
func Compile(b *Brief, functions map[string]formula.Function) (*Compiled, Problems) {
	c := newCompiler(b, functions)
	c.tables()
	c.givens()
	c.items()
	c.crosses()
	if len(c.problems.Failures()) > 0 {
		return nil, c.problems
	}
	return c.out, c.problems
}

type compiler struct {
	out      *Compiled
	env      formula.Env      // what formulas may name at this point of the brief
	index    map[string]int   // of a name in out.Names
	broken   map[string]bool  // names whose own declaration has a problem: formulas over them are not judged
	ahead    map[string]*Item // every item by key, for names that are used too early or name no value
	problems Problems

	unfilledSets []string // rule sets whose rules were not put in, as told
}

func newCompiler(b *Brief, functions map[string]formula.Function) *compiler {
	c := &compiler{
		out: &Compiled{Brief: b, Functions: functions, Rules: b.RuledBy}, env: formula.Env{Names: map[string]quantity.Unit{}, Functions: functions},
		index: map[string]int{}, broken: map[string]bool{}, ahead: map[string]*Item{},
	}
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			it := &b.Stages[i].Items[j]
			c.ahead[it.Key] = it
		}
	}
	return c
}

func (c *compiler) say(path string, offset int, text string) {
	c.problems = append(c.problems, Problem{Path: path, Offset: offset, Text: text})
}

// fail notes an error of quantity or formula at its place in the member's text.
func (c *compiler) fail(path string, err error) {
	var q *quantity.Error
	var f *formula.Error
	switch {
	case errors.As(err, &f):
		c.say(path, f.Pos, f.Message)
	case errors.As(err, &q):
		c.say(path, q.Pos, q.Message)
	default:
		c.say(path, 0, err.Error())
	}
}

// declare makes a name known to the formulas that follow. A name that is declared twice keeps its first meaning: Check
// says so.
func (c *compiler) declare(n Name, ok bool) int {
	if _, twice := c.index[n.Name]; twice {
		return -1
	}
	c.out.Names = append(c.out.Names, n)
	i := len(c.out.Names) - 1
	c.index[n.Name] = i
	if ok {
		c.env.Names[n.Name] = n.Unit
	} else {
		c.broken[n.Name] = true
	}
	return i
}

func (c *compiler) items() {
	for i := range c.out.Brief.Stages {
		st := &c.out.Brief.Stages[i]
		for j := range st.Items {
			c.item(&st.Items[j], i, "stages["+strconv.Itoa(i)+"].items["+strconv.Itoa(j)+"]")
		}
	}
}

func (c *compiler) item(it *Item, stage int, path string) {
	ci := CompiledItem{Item: it, Stage: stage, Name: -1}
	before := len(c.problems)
	switch it.Form() {
	case FormReading:
		c.reading(it.Reading, &ci, path+".reading")
		ci.Name = c.declare(Name{Name: it.Key, Unit: ci.Unit, Given: -1, Item: len(c.out.Items)}, len(c.problems) == before)
	case FormFigure:
		ok := c.figure(it.Figure, &ci, path+".figure")
		ci.Name = c.declare(Name{Name: it.Key, Unit: ci.Unit, Given: -1, Item: len(c.out.Items)}, ok)
	case FormChoice:
		c.choice(it.Choice, &ci, path+".choice")
	case FormTest:
		ci.Faults = it.Test.compiledFaults()
	case FormSequence:
		ci.Steps = c.steps(it.Sequence.Steps, path+".sequence.steps")
	}
	c.out.Items = append(c.out.Items, ci)
}

func (c *compiler) reading(r *Reading, ci *CompiledItem, path string) {
	var ok bool
	if ci.Unit, ok = c.unit(r.Unit, path+".unit"); !ok {
		return
	}
	ci.Limit = c.limit(r.Limit, ci.Unit, path+".limit")
	if r.Believable != nil {
		ci.Believable = c.believable(r.Believable, ci.Unit, path+".believable")
	}
	if r.Accuracy != "" {
		ci.Accuracy = c.accuracy(r.Accuracy, ci.Unit, path+".accuracy")
	}
	c.guard(r.Limit, ci, r.Accuracy != "", path+".limit")
	if r.CheckWithin != "" {
		ci.CheckWithin = c.above(r.CheckWithin, ci.Unit.Difference(), path+".check-within")
	}
}

// figure compiles a figure; ok says whether formulas after it may use its name, which needs its unit alone.
func (c *compiler) figure(f *Figure, ci *CompiledItem, path string) (ok bool) {
	if ci.Unit, ok = c.unit(f.Unit, path+".unit"); !ok {
		return false
	}
	ci.Limit = c.limit(f.Limit, ci.Unit, path+".limit")
	if f.Tolerance != nil {
		ci.Tolerance = c.tolerance(f.Tolerance, ci.Unit, path+".tolerance")
	}
	ci.Formula = c.formula(f.Formula, ci.Unit, path+".formula")
	c.guard(f.Limit, ci, c.measured(ci.Formula, make([]bool, len(c.out.Names))), path+".limit")
	ci.Slips = c.slips(f.Slips, ci.Unit, path)
	c.wrongs(ci)
	return true
}

func (c *compiler) choice(ch *Choice, ci *CompiledItem, path string) {
	for i := range ch.Options {
		o := CompiledOption{Option: &ch.Options[i]}
		if o.Option.When != "" {
			o.Condition = c.condition(o.Option.When, path+".options["+strconv.Itoa(i)+"].when")
		}
		ci.Options = append(ci.Options, o)
	}
	if ch.Size == nil {
		ci.Slips = c.slips(ch.Slips, quantity.One, path)
		return
	}
	var ok bool
	if ci.Unit, ok = c.unit(ch.Size.Unit, path+".size.unit"); !ok {
		return
	}
	ci.Formula = c.formula(ch.Size.Formula, ci.Unit, path+".size.formula")
	ci.Sizes = c.sizes(ch.Size.Sizes, path+".size.sizes")
	ci.Slips = c.slips(ch.Slips, ci.Unit, path)
}

// sizes reads plain rising numbers.
func (c *compiler) sizes(texts []string, path string) []float64 {
	var xs []float64
	for i, s := range texts {
		at := path + "[" + strconv.Itoa(i) + "]"
		n, err := quantity.ParseNumber(s)
		switch {
		case err != nil:
			c.fail(at, err)
			continue
		case n.Bound != quantity.Exactly:
			c.say(at, 0, "A size is a plain number.")
			continue
		case len(xs) > 0 && n.Value() <= xs[len(xs)-1]:
			c.say(at, 0, "Sizes rise: this one is not larger than the one before it.")
		}
		xs = append(xs, n.Value())
	}
	return xs
}

func (c *compiler) slips(slips []Slip, asked quantity.Unit, path string) []CompiledSlip {
	var out []CompiledSlip
	for i := range slips {
		s := CompiledSlip{Slip: &slips[i]}
		if slips[i].Formula != "" {
			s.Formula = c.formula(slips[i].Formula, asked, path+".slips["+strconv.Itoa(i)+"].formula")
		}
		out = append(out, s)
	}
	return out
}

func (c *compiler) crosses() {
	for i := range c.out.Brief.CrossChecks {
		x := &c.out.Brief.CrossChecks[i]
		c.out.Crosses = append(c.out.Crosses, CompiledCross{Cross: x, Condition: c.condition(x.When, "cross-checks["+strconv.Itoa(i)+"].holds")})
	}
}

// formula compiles text against the asked unit; nil where it cannot, or where it rests on a name that is itself broken.
func (c *compiler) formula(text string, asked quantity.Unit, path string) *Formula {
	expr, err := formula.Parse(text)
	if err != nil {
		c.fail(path, err)
		return nil
	}
	c.likeUnits(expr.Root(), path)
	if !c.usable(named(expr.Root(), nil), path) || c.callsBroken(text) {
		return nil
	}
	p, err := formula.Compile(expr, c.env, asked)
	if err != nil {
		c.fail(path, err)
		return nil
	}
	return &Formula{Text: text, Program: p, Needs: c.needs(p.Names())}
}

// condition compiles a condition, as formula does a formula.
func (c *compiler) condition(text, path string) *Condition {
	cond, err := formula.ParseCondition(text)
	if err != nil {
		c.fail(path, err)
		return nil
	}
	var uses []use
	for _, n := range formula.ConditionNames(cond) {
		uses = append(uses, use{n, wordAt(text, n)})
	}
	if !c.usable(uses, path) || c.callsBroken(text) {
		return nil
	}
	p, err := formula.CompileCondition(cond, c.env)
	if err != nil {
		c.fail(path, err)
		return nil
	}
	return &Condition{Text: text, Program: p, Needs: c.needs(p.Names())}
}

// likeUnits warns where a unit behind a number is spelt as a name of the brief: 2 t is two tonnes, though t is a reading.
func (c *compiler) likeUnits(n *formula.Node, path string) {
	if n.HasUnit {
		if _, both := c.index[n.Unit.String()]; both {
			c.problems = append(c.problems, Problem{Path: path, Offset: n.Pos, Warning: true, Text: "Behind a number “" + n.Unit.String() +
				"” is the unit, and it is a name here as well. Put × between the two if the name is meant, or give the name another spelling."})
		}
	}
	for _, a := range n.Args {
		c.likeUnits(a, path)
	}
}

// wordAt is where name stands in text as a word of its own.
func wordAt(text, name string) int {
	for from := 0; ; {
		i := strings.Index(text[from:], name)
		if i < 0 {
			return 0
		}
		i += from
		before, _ := utf8.DecodeLastRuneInString(text[:i])
		after, _ := utf8.DecodeRuneInString(text[i+len(name):])
		if !nameLetter(before) && !nameLetter(after) {
			return i
		}
		from = i + len(name)
	}
}

func nameLetter(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' || r == '′')
}

// needs turns a program's names into indices of the brief's.
func (c *compiler) needs(names []string) []int {
	out := make([]int, 0, len(names))
	for _, n := range names {
		out = append(out, c.index[n])
	}
	return out
}

// use is a name where a formula uses it.
type use struct {
	name string
	pos  int
}

// named collects the names below n.
func named(n *formula.Node, uses []use) []use {
	if n.Kind == formula.NodeName {
		uses = append(uses, use{n.Name, n.Pos})
	}
	for _, a := range n.Args {
		uses = named(a, uses)
	}
	return uses
}

// usable says whether every name has a value here. Names that stand nowhere in the brief are left to the formula's own
// compiler, which knows functions and spellings as well.
func (c *compiler) usable(uses []use, path string) bool {
	ok := true
	for _, u := range uses {
		if c.broken[u.name] {
			return false
		}
		if _, known := c.env.Names[u.name]; known {
			continue
		}
		it, exists := c.ahead[u.name]
		switch {
		case exists && (it.Form() == FormReading || it.Form() == FormFigure):
			c.say(path, u.pos, "“"+u.name+"” comes later. A formula uses only what stands before it: move one of the two.")
			ok = false
		case exists:
			c.say(path, u.pos, "“"+u.name+"” is no value ("+string(it.Form())+"). A formula uses givens, readings and figures.")
			ok = false
		}
	}
	return ok
}
