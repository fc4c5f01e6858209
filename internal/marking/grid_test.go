package marking

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
)

// circuit is a mid-position valve with its controls, by what is wrong with it. It is a second way, apart from the tables in
// testdata/marking, to what each state shows.
type circuit []string

func (c circuit) has(fault string) bool { return slices.Contains(c, fault) }

// shows gives a grid row's observations in the order of the table: white, grey, valve, switched live, pump, boiler. An
// input is true where it is on, or calls.
func (c circuit) shows(waterOn, cylinder, heatingOn, room bool) []string {
	if c.has("cyl_contacts_swapped") {
		cylinder = !cylinder
	}
	if c.has("room_stat_bypassed") {
		room = true
	}
	white := heatingOn && room
	water := waterOn && cylinder // feeds orange directly
	grey := waterOn && !cylinder && !c.has("cyl_satisfied_wire_missing") || !waterOn && !c.has("hw_off_wire_missing")
	if c.has("white_grey_swapped") {
		white, grey = grey, white
	}
	valve := "held at last position"
	switch {
	case white && grey:
		valve = "A (heating)"
	case white:
		valve = "mid (both)"
	case !grey:
		valve = "B (hot water)"
	}
	live := water || valve == "A (heating)" && !c.has("orange_not_connected") // the valve's own switch feeds orange at A
	if c.has("ports_AB_swapped") {
		switch valve {
		case "A (heating)":
			valve = "hot water gets flow"
		case "B (hot water)":
			valve = "heating gets flow"
		}
	}
	word := func(on bool, yes, no string) string {
		if on {
			return yes
		}
		return no
	}
	return []string{word(white, "live", "dead"), word(grey, "live", "dead"), valve, word(live, "live", "dead"),
		word(live, "runs", "stopped"), word(live, "fires (subject to its own stat)", "off")}
}

func table(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join(data, name))
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	}()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// gridTest is the table of a good circuit as a functional test.
func gridTest(rows [][]string) brief.FunctionalTest {
	test := brief.FunctionalTest{Demands: rows[0][1:5], Ordered: true, Safety: true}
	for i, title := range rows[0][5:] {
		options := []string{"hot water gets flow", "heating gets flow"}
		for _, row := range rows[1:] {
			if !slices.Contains(options, row[5+i]) {
				options = append(options, row[5+i])
			}
		}
		test.Checks = append(test.Checks, brief.Column{Key: fmt.Sprint("c", i), Title: title, Options: options})
	}
	for _, row := range rows[1:] {
		test.Rows = append(test.Rows, brief.TestRow{Key: "r" + row[0], Set: row[1:5], Expect: row[5:]})
	}
	return test
}

// compiledGrid is a brief with one functional test, "grid".
func compiledGrid(t testing.TB, test brief.FunctionalTest) *brief.Compiled {
	t.Helper()
	b := &brief.Brief{Edition: brief.Edition, Key: "grid", Title: "Controls", About: "a mid-position valve", Stages: []brief.Stage{
		{Key: "one", Title: "Test", Items: []brief.Item{{Key: "grid", Title: "Controls", Test: &test}}},
	}}
	c, problems := brief.Compile(b, functions())
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

// states says which inputs are on, or call, in a row of the table.
func states(row []string) (waterOn, cylinder, heatingOn, room bool) {
	on := func(i int) bool { return row[i] == "on" || row[i] == "calling" }
	return on(1), on(2), on(3), on(4)
}

// observed is a sheet with what a circuit shows in every state.
func observed(rows [][]string, c circuit) Sheet {
	var s Sheet
	for _, row := range rows[1:] {
		for i, word := range c.shows(states(row)) {
			s.Entries = append(s.Entries, Entry{Item: "grid", Part: fmt.Sprintf("r%s/c%d", row[0], i), Text: word})
		}
	}
	return s
}

// differingRows lists the rows of a grid with a cell that is not as expected, and says what the first of them shows of the
// valve and the switched live, as the table of faults does.
func differingRows(r Result) (rows []string, first string) {
	var valve *Finding
	for i := range r.Findings {
		f := &r.Findings[i]
		key, check, _ := strings.Cut(f.Part, "/")
		row := strings.TrimPrefix(key, "r")
		if f.Verdict != Correct && !slices.Contains(rows, row) {
			rows = append(rows, row)
		}
		switch {
		case check == "c2":
			valve = f
		case check == "c3" && len(rows) == 1 && rows[0] == row && first == "":
			first = fmt.Sprintf("row %s: %s, boiler %s -> %s, boiler %s", row, valve.Expected, f.Expected, valve.Stated, f.Stated)
		}
	}
	return rows, first
}

func TestGridOfAGoodCircuit(t *testing.T) {
	rows := table(t, "functional_grid.csv")
	r := Mark(compiledGrid(t, gridTest(rows)), observed(rows, circuit{}))
	if len(r.Findings) != 16*6 {
		t.Errorf("%d cells, want 96", len(r.Findings))
	}
	if bad, _ := differingRows(r); len(bad) > 0 || len(r.Flags) > 0 {
		t.Errorf("rows %v differ; flags %v", bad, r.Flags)
	}
}

// Each fault shows in just the rows that the table names, and blocks there, because the grid is safety-critical.
func TestGridOfFaultyCircuits(t *testing.T) {
	rows := table(t, "functional_grid.csv")
	c := compiledGrid(t, gridTest(rows))
	faults := table(t, "functional_grid_faults.csv")[1:]
	if len(faults) != 7 {
		t.Errorf("%d faults, want 7", len(faults))
	}
	for _, fault := range faults {
		r := Mark(c, observed(rows, circuit{fault[0]}))
		got, first := differingRows(r)
		if strings.Join(got, ",") != fault[1] || first != fault[2] {
			t.Errorf("%s:\n got rows %v, %s\nwant rows %s, %s", fault[0], got, first, fault[1], fault[2])
		}
		for i := range r.Findings {
			if f := &r.Findings[i]; f.Blocks != (f.Verdict == Wrong) || f.Verdict != Wrong && f.Verdict != Correct {
				t.Errorf("%s: %s is %s, blocks: %v", fault[0], f.Line(), f.Verdict, f.Blocks)
			}
		}
	}
}

// controlsTest is the functional test of the demonstration's brief on controls.
func controlsTest(t *testing.T) brief.FunctionalTest {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "seed", "briefs", "controls.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := brief.Read(src)
	if err != nil {
		t.Fatal(err)
	}
	for _, st := range b.Stages {
		for _, it := range st.Items {
			if it.Test != nil && len(it.Test.Demands) == 4 && len(it.Test.Checks) == 4 {
				return *it.Test
			}
		}
	}
	t.Fatal("the brief on controls has no such grid")
	return brief.FunctionalTest{}
}

// controlsShow is what the circuit shows in a row of that brief: its lamps hang at the centre, before the valve's cable, the
// valve is read by the glasses behind its ports, and pump and boiler go together.
func controlsShow(c circuit, row *brief.TestRow) []string {
	on := func(i int) bool { return row.Set[i] == "on" || row.Set[i] == "calls" }
	shows := c.shows(on(0), on(1), on(2), on(3))
	if c.has("white_grey_swapped") {
		shows[0], shows[1] = shows[1], shows[0]
	}
	if word, swapped := map[string]string{"heating gets flow": "A (heating)", "hot water gets flow": "B (hot water)"}[shows[2]]; swapped {
		shows[2] = word
	}
	return append(shows[:3], map[string]string{"live": "both run", "dead": "both off"}[shows[3]])
}

// The demonstration's own grid asks for what a good circuit shows, in all sixteen states, and each of the seven faults that it
// declares is named, alone, by what the circuit with it shows.
func TestGridOfTheControlsBrief(t *testing.T) {
	test := controlsTest(t)
	if len(test.Rows) != 16 || len(test.Faults) != 7 {
		t.Fatalf("%d rows and %d faults, want 16 and 7", len(test.Rows), len(test.Faults))
	}
	for i := range test.Rows {
		if row := &test.Rows[i]; !slices.Equal(row.Expect, controlsShow(nil, row)) {
			t.Errorf("row %s: the brief expects %v, the circuit shows %v", row.Key, row.Expect, controlsShow(nil, row))
		}
	}
	c := compiledGrid(t, test)
	for key, fault := range map[string]string{
		"hw-off-wire": "hw_off_wire_missing", "cyl-satisfied-wire": "cyl_satisfied_wire_missing", "white-grey-swapped": "white_grey_swapped",
		"orange-off": "orange_not_connected", "cyl-contacts-swapped": "cyl_contacts_swapped", "ports-swapped": "ports_AB_swapped",
		"room-stat-bypassed": "room_stat_bypassed",
	} {
		var s Sheet
		for i := range test.Rows {
			for j, word := range controlsShow(circuit{fault}, &test.Rows[i]) {
				s.Entries = append(s.Entries, Entry{Item: "grid", Part: cell{i, j}.part(&test), Text: word})
			}
		}
		if d := diagnosisOf(t, Mark(c, s)); len(d.Likely) != 1 || d.Likely[0].Key != key || !d.Likely[0].Whole() {
			t.Errorf("%s is read as %v: %s", key, keysOf(d), d.Tutor)
		}
	}
}
