package marking

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"witnessmark/internal/brief"
	"witnessmark/internal/golden"
)

// faultWords says where each fault of the table lies, for the advice. Common practice, no source.
var faultWords = map[string][2]string{
	"hw_off_wire_missing":        {"the wire from the programmer's hot-water off terminal to grey is missing", "at the programmer, terminal 3, dead and isolated"},
	"cyl_satisfied_wire_missing": {"the wire from the cylinder thermostat's satisfied contact to grey is missing", "at the cylinder thermostat, dead and isolated"},
	"white_grey_swapped":         {"white and grey are swapped", "at the wiring centre, dead and isolated"},
	"orange_not_connected":       {"orange is not connected to the switched live", "at the wiring centre, dead and isolated"},
	"cyl_contacts_swapped":       {"the cylinder thermostat's contacts are swapped", "at the cylinder thermostat, dead and isolated"},
	"ports_AB_swapped":           {"ports A and B of the valve are swapped", "at the valve body: which port feeds the cylinder?"},
	"room_stat_bypassed":         {"the room thermostat is bridged", "at the room thermostat, dead and isolated"},
}

// faultyGridBrief declares the seven faults of the table, each by what the circuit with it shows.
func faultyGridBrief(t testing.TB, rows, faults [][]string) *brief.Compiled {
	t.Helper()
	test := gridTest(rows)
	for _, line := range faults {
		words := faultWords[line[0]]
		fault := brief.GridFault{Key: strings.ReplaceAll(line[0], "_", "-"), Is: words[0], Look: words[1]}
		for _, row := range rows[1:] {
			cells, differs := circuit{line[0]}.shows(states(row)), false
			for i := range cells {
				if cells[i] == row[5+i] {
					cells[i] = ""
				}
				differs = differs || cells[i] != ""
			}
			if differs {
				fault.Shows = append(fault.Shows, brief.FaultRow{Row: "r" + row[0], Cells: cells})
			}
		}
		test.Faults = append(test.Faults, fault)
	}
	return compiledGrid(t, test)
}

// world is the table of states, the faults and a brief that declares them.
func gridWorld(t testing.TB) (rows, faults [][]string, c *brief.Compiled) {
	t.Helper()
	rows, faults = table(t, "functional_grid.csv"), table(t, "functional_grid_faults.csv")[1:]
	return rows, faults, faultyGridBrief(t, rows, faults)
}

func diagnosisOf(t testing.TB, r Result) Diagnosis {
	t.Helper()
	if len(r.Diagnoses) != 1 || r.Diagnoses[0].Item != "grid" {
		t.Fatalf("got %+v, want one word on the grid", r.Diagnoses)
	}
	return r.Diagnoses[0]
}

func keysOf(d Diagnosis) (keys []string) {
	for _, f := range d.Likely {
		keys = append(keys, strings.ReplaceAll(f.Key, "-", "_"))
	}
	return keys
}

// Each observed grid of the table names its own fault, alone, with every wrong cell speaking for it and none against. The
// sentences stand in a file to be read.
func TestEachFaultIsNamed(t *testing.T) {
	rows, faults, c := gridWorld(t)
	var said strings.Builder
	for _, line := range faults {
		r := Mark(c, observed(rows, circuit{line[0]}))
		d := diagnosisOf(t, r)
		if got := keysOf(d); !slices.Equal(got, []string{line[0]}) || !d.Likely[0].Whole() || len(d.Likely[0].Fits) != d.Wrong || d.Wrong != r.count(Wrong) || d.Open > 0 {
			t.Errorf("%s is read as %v: %+v", line[0], got, d)
		}
		if !strings.Contains(Table(r), "\ngrid: "+d.Tutor+"\n") {
			t.Errorf("the table of %s does not say what the grid points at:\n%s", line[0], Table(r))
		}
		fmt.Fprintf(&said, "%s\n  tutor: %s\n  trainee: %s\n", line[0], d.Tutor, d.Trainee)
	}
	golden.Check(t, filepath.Join(data, "functional_grid_advice.txt"), []byte(said.String()))
	if r := Mark(c, observed(rows, circuit{})); r.Diagnoses != nil {
		t.Errorf("a good circuit is read as %+v", r.Diagnoses)
	}
}

// Any one cell left empty still finds the fault, alone or with the others that the rest of the grid fits as well, and then
// the empty cell is named as the one that tells them apart.
func TestAFaultIsNamedWithACellEmpty(t *testing.T) {
	rows, faults, c := gridWorld(t)
	for _, line := range faults {
		whole := observed(rows, circuit{line[0]})
		for i := range whole.Entries {
			s := whole
			s.Entries = slices.Delete(slices.Clone(whole.Entries), i, i+1)
			d := diagnosisOf(t, Mark(c, s))
			if got := keysOf(d); !slices.Contains(got, line[0]) || d.Open != 1 {
				t.Errorf("%s without %s is read as %v", line[0], whole.Entries[i].Part, got)
			}
			for _, f := range d.Likely {
				if !f.Whole() {
					t.Errorf("%s without %s: %s is named, against %v", line[0], whole.Entries[i].Part, f.Key, f.Against)
				}
			}
			if len(d.Likely) > 1 && !slices.Equal(d.Apart, []string{whole.Entries[i].Part}) {
				t.Errorf("%s without %s: %v told apart by %v", line[0], whole.Entries[i].Part, keysOf(d), d.Apart)
			}
		}
	}
}

// Two faults at once: one is called the fault only where its grid alone is what was seen; else it is said that none shows
// just that. Mostly both are among those named.
func TestTwoFaultsAtOnceAreReportedHonestly(t *testing.T) {
	rows, faults, c := gridWorld(t)
	both, pairs := 0, 0
	for i, a := range faults {
		for _, b := range faults[i+1:] {
			pairs++
			s := observed(rows, circuit{a[0], b[0]})
			var alone []string
			for _, f := range faults {
				if cmp.Equal(observed(rows, circuit{f[0]}), s) {
					alone = append(alone, f[0])
				}
			}
			r := Mark(c, s)
			if r.count(Wrong) == 0 {
				if len(r.Diagnoses) > 0 {
					t.Errorf("%s with %s: nothing is wrong, and %+v", a[0], b[0], r.Diagnoses)
				}
				continue
			}
			d := diagnosisOf(t, r)
			got := keysOf(d)
			hasA, hasB := slices.Contains(got, a[0]), slices.Contains(got, b[0])
			if hasA && hasB {
				both++
			}
			switch whole := len(d.Likely) > 0 && d.Likely[0].Whole(); {
			case whole && !slices.Equal(got, alone):
				t.Errorf("%s with %s is read as %v, and alone that is %v", a[0], b[0], got, alone)
			case !whole && len(alone) > 0:
				t.Errorf("%s with %s looks like %v alone, and is read as %v", a[0], b[0], alone, got)
			case !whole && !strings.Contains(d.Tutor, "No fault that the brief knows") && !strings.Contains(d.Tutor, "None of the 7"):
				t.Errorf("%s with %s: %s", a[0], b[0], d.Tutor)
			}
		}
	}
	if both < 20 {
		t.Errorf("of %d pairs both are named in %d, want 20", pairs, both)
	}
}

// Whatever is put down, the advice changes nothing else, is the same each time, and names as whole just those faults whose
// own grid agrees with every cell that is filled in.
func TestTheAdviceOnlyAdvises(t *testing.T) {
	rows, faults, c := gridWorld(t)
	plain := compiledGrid(t, gridTest(rows))
	random := rand.New(rand.NewPCG(3, 7))
	for range 100 {
		s := observed(rows, circuit{faults[random.IntN(len(faults))][0]})
		for range random.IntN(12) {
			e := &s.Entries[random.IntN(len(s.Entries))]
			other := s.Entries[random.IntN(len(s.Entries))]
			e.Text = []string{"", "?", other.Text}[random.IntN(3)]
		}
		got := Mark(c, s)
		if again := asJSON(t, Mark(c, s)); !bytes.Equal(again, asJSON(t, got)) {
			t.Fatalf("not the same twice:\n%s\n%s", again, asJSON(t, got))
		}
		var whole []string
		for _, line := range faults {
			if agreesWithAll(rows, line[0], s) {
				whole = append(whole, line[0])
			}
		}
		if got.count(Wrong) > 0 {
			d := diagnosisOf(t, got)
			if is := len(d.Likely) > 0 && d.Likely[0].Whole(); is != (len(whole) > 0) || is && !slices.Equal(keysOf(d), whole) {
				t.Errorf("%v named, whole %v; the circuits that agree: %v", keysOf(d), is, whole)
			}
		}
		got.Diagnoses = nil
		if diff := cmp.Diff(Mark(plain, s), got); diff != "" {
			t.Fatalf("declared faults change the marking (-without +with):\n%s", diff)
		}
	}
}

// agreesWithAll asks the circuit itself: every cell that holds one of its column's words shows what the circuit with the fault does.
func agreesWithAll(rows [][]string, fault string, s Sheet) bool {
	test := gridTest(rows)
	for i, e := range s.Entries {
		row, check := rows[1+i/6], i%6
		if slices.Contains(test.Checks[check].Options, e.Text) && e.Text != (circuit{fault}).shows(states(row))[check] {
			return false
		}
	}
	return true
}

// The advice's cost is in proportion to rows times faults.
func BenchmarkDiagnosis(b *testing.B) {
	rows := table(b, "functional_grid.csv")
	faults := table(b, "functional_grid_faults.csv")[1:]
	for _, n := range []int{0, 1, 7} {
		b.Run(fmt.Sprint(n, " faults"), func(b *testing.B) {
			c := faultyGridBrief(b, rows, faults[:n])
			s := observed(rows, circuit{faults[3][0]})
			for b.Loop() {
				Mark(c, s)
			}
		})
	}
}

// BenchmarkDiagnosisOfTheLargestGrid is a grid and faults as large as a brief may have.
func BenchmarkDiagnosisOfTheLargestGrid(b *testing.B) {
	for _, n := range []int{10, 20, 40} {
		b.Run(fmt.Sprint(n, " faults"), func(b *testing.B) {
			test := brief.FunctionalTest{Demands: []string{"state"}}
			for j := range 12 {
				test.Checks = append(test.Checks, brief.Column{Key: fmt.Sprint("c", j), Title: "check", Options: []string{"on", "off", "held"}, Held: "held"})
			}
			for i := range 100 {
				test.Rows = append(test.Rows, brief.TestRow{Key: fmt.Sprint("r", i), Set: []string{"x"}, Expect: slices.Repeat([]string{"on"}, 12)})
			}
			for k := range n {
				f := brief.GridFault{Key: fmt.Sprint("f", k), Is: "a fault"}
				for i := range 100 {
					cells := slices.Repeat([]string{""}, 12)
					cells[(i+k)%12] = "off"
					f.Shows = append(f.Shows, brief.FaultRow{Row: fmt.Sprint("r", i), Cells: cells})
				}
				test.Faults = append(test.Faults, f)
			}
			c := compiledGrid(b, test)
			it := &c.Items[0]
			var s Sheet
			for i := range 100 {
				for j := range 12 {
					word := []string{"on", "off", "held", ""}[(i*7+j*3)%4]
					s.Entries = append(s.Entries, Entry{Item: "grid", Part: cell{i, j}.part(&test), Text: word})
				}
			}
			m := newMarker(c, s)
			seen := m.seen(it)
			for b.Loop() {
				m.result.Diagnoses = nil
				m.diagnose(it, seen)
			}
		})
	}
}
