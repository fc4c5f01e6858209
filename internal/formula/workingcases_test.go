package formula_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestWorkingCases: the notation's rules as a trainee's lines meet them.
func TestWorkingCases(t *testing.T) {
	env := testEnv()
	env.Names["Δt2"] = quantity.MustUnit("K")
	named := func(name string) (float64, bool) {
		if name == "Δt2" {
			return 18.5, true
		}
		return siValue(name)
	}
	for _, c := range cases(t, "working.txt") {
		t.Run(c["line"], func(t *testing.T) {
			var r formula.Reader
			w, err := r.Read(c["line"])
			if c["wrong"] != "" {
				wrongLine(t, err, c)
				return
			}
			if err != nil {
				t.Fatal(caret(err))
			}
			if w.Label != c["label"] {
				t.Errorf("label %q, want %q", w.Label, c["label"])
			}
			sheet := &formula.Sheet{Env: env, Values: named}
			if text, ok := c["asked"]; ok {
				asked := quantity.MustUnit(text)
				sheet.Asked = &asked
			}
			values := r.Evaluate(sheet)
			compareSegments(t, values, strings.Split(c["si"], "; "), func(v formula.SegmentValue) (float64, string, error) {
				return v.SI, v.Dimension.String(), v.UnitErr
			})
			compareSegments(t, values, strings.Split(c["bare"], "; "), func(v formula.SegmentValue) (float64, string, error) {
				return v.Bare, "", v.BareErr
			})
			if unread := c["unread"]; unread != "" && (values[0].UnitErr == nil || !strings.HasPrefix(values[0].UnitErr.Error(), unread)) {
				t.Errorf("with units: %v, want %q", values[0].UnitErr, unread)
			}
			if notes := strings.Join(values[0].Notes, " "); notes != c["note"] {
				t.Errorf("notes %q, want %q", notes, c["note"])
			}
		})
	}
}

func wrongLine(t *testing.T, err error, c map[string]string) {
	t.Helper()
	at, _ := strconv.Atoi(c["at"])
	var e *formula.Error
	if !errors.As(err, &e) || !strings.HasPrefix(e.Message, c["wrong"]) || e.Pos != at || errors.Is(err, quantity.ErrAmbiguous) != (c["refer"] != "") {
		t.Fatalf("got %v, want at %d %q", err, at, c["wrong"])
	}
}

// compareSegments compares with "value dimension" each, or "-" where there is no value.
func compareSegments(t *testing.T, got []formula.SegmentValue, want []string, of func(formula.SegmentValue) (float64, string, error)) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d segments, want %q", len(got), want)
	}
	for i, w := range want {
		value, dim, err := of(got[i])
		number, wantDim, _ := strings.Cut(w, " ")
		wanted, parseErr := strconv.ParseFloat(number, 64)
		switch {
		case number == "-":
			if err == nil {
				t.Errorf("segment %d: %v, want no value", i, value)
			}
		case parseErr != nil:
			t.Fatal(parseErr)
		case err != nil || dim != wantDim || math.Abs(value-wanted) > 5e-12*math.Abs(wanted):
			t.Errorf("segment %d: %.12g %s, %v; want %s", i, value, dim, err, w)
		}
	}
}
