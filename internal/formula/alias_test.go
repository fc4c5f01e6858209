package formula_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestAlias: an alias stands for its name, once, and working finds a name in another case with a note.
func TestAlias(t *testing.T) {
	e, err := formula.Parse("flow − tr + (tf − flow)")
	if err != nil {
		t.Fatal(err)
	}
	p, err := formula.Compile(e, testEnv(), quantity.MustUnit("K"))
	if err != nil {
		t.Fatal(caret(err))
	}
	if want := []string{"tf", "tr"}; !slices.Equal(p.Names(), want) {
		t.Errorf("names %q, want %q", p.Names(), want)
	}
	w, err := formula.ParseWorking("TF − tr = 18.5")
	if err != nil {
		t.Fatal(err)
	}
	if notes := w.Evaluate(testEnv(), siValue)[0].Notes; len(notes) != 1 || !strings.HasPrefix(notes[0], "You wrote TF") {
		t.Errorf("notes %q, want one on TF", notes)
	}
}

// TestNames lists names and functions once, in the order of their first use.
func TestNames(t *testing.T) {
	e, err := formula.Parse("b + max(a, b) × rho(c) / rho(a) + √(max(c, 2))")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := formula.Names(e), []string{"b", "a", "c"}; !slices.Equal(got, want) {
		t.Errorf("names %q, want %q", got, want)
	}
	if got, want := formula.Functions(e), []string{"max", "rho"}; !slices.Equal(got, want) {
		t.Errorf("functions %q, want %q", got, want)
	}
	listed := formula.Builtins()
	if len(listed) < 15 || !slices.IsSortedFunc(listed, func(a, b formula.Builtin) int { return strings.Compare(a.Name, b.Name) }) {
		t.Errorf("%d built-in functions listed, want at least 15, sorted", len(listed))
	}
}

// TestTimesOrName: where x is a name, an x that could be a times sign is left to a person, in a formula, a condition and
// the side of a line that has it.
func TestTimesOrName(t *testing.T) {
	env := formula.Env{Names: map[string]quantity.Unit{"x": quantity.One, "n": quantity.One}}
	e, err := formula.Parse("3 x 4 + n")
	if err != nil {
		t.Fatal(caret(err))
	}
	_, err = formula.Compile(e, env, quantity.One)
	checkTimes(t, err, 2)
	c, err := formula.ParseCondition("n < 3 x 4")
	if err != nil {
		t.Fatal(caret(err))
	}
	_, err = formula.CompileCondition(c, env)
	checkTimes(t, err, 6)
	w, err := formula.ParseWorking("3 x − 2 = 3 x 4")
	if err != nil {
		t.Fatal(caret(err))
	}
	values := w.Evaluate(env, func(string) (float64, bool) { return 5, true })
	if values[0].SI != 13 || values[0].UnitErr != nil {
		t.Errorf("3 x − 2 = %v, %v; want 13 for x = 5", values[0].SI, values[0].UnitErr)
	}
	checkTimes(t, values[1].UnitErr, len("3 x − 2 = 3 "))
}

func checkTimes(t *testing.T, err error, at int) {
	t.Helper()
	var e *formula.Error
	if !errors.Is(err, quantity.ErrAmbiguous) || !errors.As(err, &e) || e.Pos != at {
		t.Errorf("got %v, want at %d that x could be a name", err, at)
	}
}
