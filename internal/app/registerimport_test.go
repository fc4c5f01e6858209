package app_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/table"
)

const instruments = `Name;Serial number;Is a;Range;Resolution;Accuracy;Calibrated on;Certificate;Holds to;Found;What was found
Clamp meter 3;CM-77 01;"Clamp meter; multimeter, digital";0 A to 400 A;0.1 A;±1.5 %;2026-03-02;LAB-1;2027-03-01;;
Ice probe;T 9;thermometer;;;;1/4/2026;LAB-2;;reads wrong;0.8 K too high throughout.
Gauge 2;G2;pressure gauge;;;;;;;;
`

// checkedList is the plan of a list that has nothing to mend.
func (c *centre) checkedList(t *testing.T, list string) app.RegisterPlan {
	t.Helper()
	plan, err := c.CheckRegister(t.Context(), c.manager, []byte(list))
	must(t, err)
	if len(plan.Problems) > 0 {
		t.Fatalf("problems: %+v", plan.Problems)
	}
	return plan
}

// takenIn takes a list in as it was shown.
func (c *centre) takenIn(t *testing.T, list string) {
	t.Helper()
	_, err := c.ImportRegister(t.Context(), c.manager, []byte(list), c.checkedList(t, list).Digest)
	must(t, err)
}

// listOf is the register as a list.
func (c *centre) listOf(t *testing.T) string {
	t.Helper()
	rows, err := c.Register(t.Context(), c.manager)
	must(t, err)
	var head []string
	for _, col := range app.InstrumentColumns() {
		head = append(head, col.Name)
	}
	var cells [][]string
	for _, r := range rows {
		cells = append(cells, r.Cells())
	}
	var b bytes.Buffer
	must(t, table.Write(&b, head, cells))
	return b.String()
}

func TestRegisterByList(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	plan := c.checkedList(t, instruments)
	if plan.Rows != 3 || len(plan.New) != 3 || len(plan.Calibrations) != 0 || plan.New[0].Kinds[1] != "multimeter, digital" || plan.New[1].Calibration.Good {
		t.Fatalf("the plan is %+v", plan)
	}
	if rows, err := c.Register(ctx, c.manager); err != nil || len(rows) != 0 {
		t.Fatalf("showing the plan left %d instruments (%v)", len(rows), err)
	}
	_, err := c.ImportRegister(ctx, c.manager, []byte(instruments), "another")
	wantKind(t, "without having seen the plan", err, fault.KindConflict)
	c.takenIn(t, instruments)
	rows, err := c.Register(ctx, c.manager)
	must(t, err)
	if len(rows) != 3 || rows[0].Name != "Clamp meter 3" || rows[0].Due != "2027-03-01" || rows[0].Doubt != "" || rows[2].Doubt != decision.Failed || rows[1].Due != "" {
		t.Fatalf("the register is %+v", rows)
	}

	// Twice without doubling, also as the program itself gives the list.
	for name, list := range map[string]string{"the same list": instruments, "the register's own": c.listOf(t)} {
		if again := c.checkedList(t, list); len(again.New)+len(again.Calibrations) != 0 {
			t.Errorf("%s once more would change %+v", name, again)
		}
		c.takenIn(t, list)
	}
	sheet, err := c.OneOfRegister(ctx, c.manager, rows[0].ID)
	must(t, err)
	if len(sheet.Events) != 1 {
		t.Errorf("the clamp meter has %d calibrations, want 1", len(sheet.Events))
	}
}

// A list changes nothing of an instrument but that it enters a calibration, which is shown before it is kept, and added.
func TestACalibrationByList(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	c.takenIn(t, instruments)
	// As a laboratory sends it: without what it does not know, and the number as it reads it.
	const list = "Serial;Kind;Calibrated;Certificate;Due\ncm7701;clamp meter;2026-05-01;LAB-9;2027-05-01\n"
	plan := c.checkedList(t, list)
	if len(plan.New) != 0 || len(plan.Calibrations) != 1 || plan.Calibrations[0].Name != "Clamp meter 3" || plan.Calibrations[0].Was.Certificate != "LAB-1" || plan.Calibrations[0].Earlier() {
		t.Fatalf("the plan is %+v", plan)
	}
	id := plan.Calibrations[0].Instrument
	c.takenIn(t, list)
	sheet, err := c.OneOfRegister(ctx, c.manager, id)
	must(t, err)
	if len(sheet.Events) != 2 || sheet.Events[0].Certificate != "LAB-1" || sheet.Events[1].Certificate != "LAB-9" || sheet.Due != "2027-05-01" {
		t.Fatalf("it has %+v", sheet.Events)
	}
	earlier := strings.ReplaceAll(strings.ReplaceAll(list, "2026-05-01", "2025-05-01"), "LAB-9", "LAB-0")
	if plan := c.checkedList(t, earlier); len(plan.Calibrations) != 1 || !plan.Calibrations[0].Earlier() {
		t.Errorf("an earlier one is planned as %+v", plan.Calibrations)
	}

	// What somebody enters meanwhile makes it another plan.
	another := strings.ReplaceAll(list, "LAB-9", "LAB-10")
	seen := c.checkedList(t, another)
	must(t, c.Calibrate(ctx, c.manager, id, app.NewCalibration{ID: uuid.New(), On: day(t, "2026-05-02"), Good: true, Certificate: "LAB-11", Due: day(t, "2027-05-02")}))
	_, err = c.ImportRegister(ctx, c.manager, []byte(another), seen.Digest)
	wantKind(t, "a plan that is out of date", err, fault.KindConflict)

	// What was struck out as a mistake does not come back with the next list, but what puts it right does.
	must(t, c.StrikeCheckup(ctx, c.manager, id, sheet.Events[1].ID, "The day was misread."))
	again, err := c.CheckRegister(ctx, c.manager, []byte(list))
	must(t, err)
	if len(again.Problems) != 1 || !strings.Contains(again.Problems[0].Message, "struck out") {
		t.Errorf("a struck calibration gives %+v", again)
	}
	if right := c.checkedList(t, strings.Replace(list, "2027-05-01", "2026-11-01", 1)); len(right.Calibrations) != 1 {
		t.Errorf("the mended one gives %+v", right)
	}

	// One certificate may say how it came and, a line further, how it was put right.
	must(t, c.Calibrate(ctx, c.manager, id, app.NewCalibration{ID: uuid.New(), On: day(t, "2026-05-03"), Certificate: "LAB-12", Words: "2 A too low."}))
	must(t, c.Calibrate(ctx, c.manager, id, app.NewCalibration{ID: uuid.New(), On: day(t, "2026-05-03"), Good: true, Certificate: "LAB-12", Due: day(t, "2027-05-02")}))
	if own := c.checkedList(t, c.listOf(t)); len(own.New)+len(own.Calibrations) != 0 {
		t.Errorf("the register's own list would change %+v", own)
	}
}

func TestAListOfInstrumentsThatIsNotRight(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	c.takenIn(t, instruments)
	c.takenIn(t, "Name,Serial number,Is a\nCaliper,G2,caliper\nOld probe,T 1,thermometer\n")
	rows, err := c.Register(ctx, c.manager)
	must(t, err)
	for _, r := range rows {
		if r.Name == "Old probe" {
			must(t, c.RetireFromRegister(ctx, c.manager, r.ID, "Dropped."))
		}
	}
	kept := c.listOf(t)
	const head = "Name,Serial number,Is a,Range,Calibrated on,Certificate,Holds to,Found,What was found,Out of use since\n"
	for name, test := range map[string]struct{ row, column, says string }{
		"no serial number":                  {"Probe,,thermometer,,,,,,,", "Serial number", "empty here"},
		"no kind":                           {"Probe,T 5,,,,,,,,", "Is a", "empty here"},
		"a serial number of dashes":         {"Probe,---,thermometer,,,,,,,", "Serial number", "as it stands on the label"},
		"a new one without a name":          {",T 5,thermometer,,,,,,,", "Name", "no “thermometer” with this serial"},
		"a day that is none":                {"Probe,T 5,thermometer,,2026-02-30,L,2027-01-01,,,", "Calibrated on", "no day"},
		"a day to come":                     {"Probe,T 5,thermometer,,2026-06-01,L,2027-01-01,,,", "Calibrated on", "still to come"},
		"a certificate without a day":       {"Probe,T 5,thermometer,,,L,2027-01-01,,,", "Calibrated on", "Choose the day"},
		"a day without a certificate":       {"Probe,T 5,thermometer,,2026-03-01,,2027-01-01,,,", "Certificate", "number of the certificate"},
		"holds to a day before":             {"Probe,T 5,thermometer,,2026-03-01,L,2026-02-01,,,", "Holds to", "before the calibration"},
		"no day to which it holds":          {"Probe,T 5,thermometer,,2026-03-01,L,,,,", "Holds to", "last day"},
		"neither true nor wrong":            {"Probe,T 5,thermometer,,2026-03-01,L,2027-01-01,maybe,,", "Found", "reads true"},
		"wrong without words":               {"Probe,T 5,thermometer,,2026-03-01,L,,Reads wrong,,", "What was found", "Say what was found"},
		"twice":                             {"Probe,T 5,thermometer,,,,,,,\nOther,t-5,thermometer,,,,,,,", "Serial number", "line 2 already"},
		"twice, by its other kind":          {",CM-7701,clamp meter,,,,,,,\n,CM-7701,\"multimeter, digital\",,,,,,,", "Serial number", "line 2 already"},
		"two of the register in one":        {",G2,caliper; pressure gauge,,,,,,,", "Is a", "a row of its own"},
		"a further kind":                    {",G2,pressure gauge; manometer,,,,,,,", "Is a", "not as a “manometer”"},
		"another name":                      {"Gauge 3,G2,pressure gauge,,,,,,,", "Name", "“Gauge 2”"},
		"a range where there is none":       {",G2,pressure gauge,0 bar to 4 bar,,,,,,", "Range", "says nothing here"},
		"another day on a certificate":      {",CM-7701,clamp meter,,2026-03-02,LAB-1,2027-04-01,,,", "Certificate", "holds to 1 March 2027"},
		"out of use in the list alone":      {",G2,pressure gauge,,,,,,,2026-01-01", "Out of use since", "with a reason"},
		"out of use and not here":           {"Probe,T 5,thermometer,,,,,,,2026-01-01", "Out of use since", "Leave its row out"},
		"a calibration of one out of use":   {",T1,thermometer,,2026-03-01,L,2027-01-01,,,", "Calibrated on", "out of use"},
		"a character that cannot be seen":   {"Pro\abe,T 5,thermometer,,,,,,,", "Name", "cannot be seen"},
		"a name too long":                   {strings.Repeat("x", 201) + ",T 5,thermometer,,,,,,,", "Name", "longer than 200"},
		"more kinds than one can stand for": {"Probe,T 5," + strings.Repeat("a;", 6) + "b;c;d;e;f;g;h;i;j;k;l;m,,,,,,,", "Is a", "at most 12"},
	} {
		t.Run(name, func(t *testing.T) {
			plan, err := c.CheckRegister(ctx, c.manager, []byte(head+test.row+"\n"))
			must(t, err)
			if len(plan.Problems) == 0 || plan.Problems[0].Column != test.column || !strings.Contains(plan.Problems[0].Message, test.says) || plan.Problems[0].Line < 2 {
				t.Errorf("problems are %+v, want one on %q that says %q", plan.Problems, test.column, test.says)
			}
			_, err = c.ImportRegister(ctx, c.manager, []byte(head+test.row+"\n"), plan.Digest)
			wantKind(t, "taking it in all the same", err, fault.KindInvalid)
		})
	}
	if now := c.listOf(t); now != kept {
		t.Errorf("refused, the lists changed the register from\n%s\nto\n%s", kept, now)
	}
	for _, who := range []account.Caller{c.tutor, c.trainee} {
		_, err := c.CheckRegister(ctx, who, []byte(instruments))
		wantKind(t, who.Name, err, fault.KindForbidden)
	}
}

// A register that would grow beyond what is listed is refused whole, and one that just fits is not.
func TestAListBeyondTheRegister(t *testing.T) {
	c := newCentre(t)
	list := func(from, n int) string {
		var b strings.Builder
		b.WriteString("Name,Serial number,Is a,Calibrated on,Certificate,Holds to\n")
		for i := range n {
			fmt.Fprintf(&b, "Probe %d,P-%d,thermometer,2026-01-05,C-%d,2027-01-04\n", from+i, from+i, from+i)
		}
		return b.String()
	}
	c.takenIn(t, list(0, 2000))
	plan, err := c.CheckRegister(t.Context(), c.manager, []byte(list(1999, 2)))
	must(t, err)
	if len(plan.Problems) != 1 || !strings.Contains(plan.Problems[0].Message, "2001 instruments") {
		t.Errorf("one more gives %+v", plan.Problems)
	}
	if plan := c.checkedList(t, list(0, 2000)); len(plan.New)+len(plan.Calibrations) != 0 {
		t.Errorf("the same again would change %d and %d", len(plan.New), len(plan.Calibrations))
	}
}
