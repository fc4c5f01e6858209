package marking

import (
	"strings"
	"testing"
)

// The lines were worked with a calculator; P is right between 15.316 and 16.264 kW.
func TestWorkingFindings(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, row := range []struct {
		name    string
		stated  string
		working string
		verdict Verdict
		flags   string
		quote   string // of the first flag
		trainee string // part of the trainee's sentence
		tutor   string // part of the first flag
	}{
		{"all of it right", "15.8", "12.4/60 × 0.988 × 4.18 × 18.5 = 15.79 = 15.8 kW", Correct, "", "", "is right", ""},
		{"rounded on the way", "15.8", "Q = 12.4/60 × 0.988 × 4.18 × 18.5 = 0.2042 × 4.18 × 18.5 = 15.8", Correct, "", "", "is right", ""},
		{"wrong arithmetic at one sign", "16.3", "12.4/60 × 0.988 × 4.18 × 18.5 = 16.3 kW", Wrong, "working_arithmetic method_right",
			"12.4/60 × 0.988 × 4.18 × 18.5 = 16.3 kW", "the left side comes to 15.8", "the left side comes to 15.8"},
		{"wrong arithmetic in an earlier line", "15.8", "m = 12.4/60 × 0.988 = 0.2142\nQ = 0.2042 × 4.18 × 18.5 = 15.8 kW", Correct, "working_arithmetic",
			"12.4/60 × 0.988 = 0.2142", "the left side comes to 0.2042", "comes to 0.2042"},
		{"two sides that are not equal", "15.8", "(69.8 − 51.3) × 2 = 19.5 × 2 = 39\n12.4/60 × 0.988 × 4.18 × 18.5 = 15.8", Correct, "working_arithmetic",
			"(69.8 − 51.3) × 2 = 19.5 × 2", "not equal: 37 and 39", "not equal"},
		{"an equals sign that runs on", "15.8", "12.4/60 = 0.2067 × 0.988 × 4.18 × 18.5 = 15.8", Correct, "working_run_on",
			"12.4/60 = 0.2067 × 0.988 × 4.18 × 18.5", "A new step begins a new line", "runs on"},
		{"one that runs on from a result", "15.8", "12.4/60 × 0.988 = 0.2042 = 0.2042 × 4.18 × 18.5 = 15.8", Correct, "working_run_on",
			"0.2042 = 0.2042 × 4.18 × 18.5", "A new step begins a new line", "runs on"},
		{"cut off", "15.7", "12.4/60 × 0.988 × 4.18 × 18.5 = 15.7", Correct, "working_truncated",
			"12.4/60 × 0.988 × 4.18 × 18.5 = 15.7", "is cut off, not rounded", "is cut off"},
		{"written in full, cut off where it is stated", "15.7", "12.4/60 × 0.988 × 4.18 × 18.5 = 15.79", Correct, "working_truncated",
			"12.4/60 × 0.988 × 4.18 × 18.5 = 15.79", "is cut off, not rounded", "is cut off"},
		{"cut off where it is stated", "15.7", "12.4/60 × 0.988 × 4.18 × 18.5", Correct, "working_truncated",
			"12.4/60 × 0.988 × 4.18 × 18.5", "is cut off, not rounded", "is cut off"},
		{"right, but not from the working", "15.8", "12.4/60 × 0.988 × 4.18 × 16.5 = 14.08", Correct, "not_from_working",
			"12.4/60 × 0.988 × 4.18 × 16.5 = 14.08", "Your working gives 14.1", "The mark stands"},
		{"the method is wrong, the arithmetic right", "14.1", "12.4/60 × 0.988 × 4.18 × 16.5 = 14.08", Wrong, "method_wrong",
			"12.4/60 × 0.988 × 4.18 × 16.5", "Your arithmetic is right; look at the method again", "It is the method"},
		{"the method is right, the arithmetic wrong", "19.3", "12.4/60 × 0.988 × 4.18 × 18.5 = 19.3", Wrong, "working_arithmetic method_right",
			"12.4/60 × 0.988 × 4.18 × 18.5 = 19.3", "Your method is right: what you wrote comes to 15.79", "15.8"},
		{"the method is right, an earlier line's arithmetic wrong", "16.6", "m = 12.4/60 × 0.988 = 0.2142\nQ = 0.2142 × 4.18 × 18.5 = 16.56", Wrong, "working_arithmetic method_right",
			"12.4/60 × 0.988 = 0.2142", "Your method is right: what you wrote comes to 15.79", "0.2042"},
		{"the same with units", "16.6", "12.4 L/min × 0.988 kg/L = 0.2142 kg/s\n0.2142 kg/s × 4.18 kJ/(kg·K) × 18.5 K = 16.56 kW", Wrong, "working_arithmetic method_right",
			"12.4 L/min × 0.988 kg/L = 0.2142 kg/s", "Your method is right: what you wrote comes to 15.79", "0.2042"},
		{"an earlier line's arithmetic and the method wrong", "14.8", "m = 12.4/60 × 0.988 = 0.2142\nQ = 0.2142 × 4.18 × 16.5 = 14.77", Wrong, "working_arithmetic",
			"12.4/60 × 0.988 = 0.2142", "the left side comes to 0.2042", "0.2042"},
		{"a unit left out in the working is feedback", "15.8", "12.4/60 × 0.988 × 4.18 × 18.5 = 15.8", Correct, "", "", "Write the unit beside the result of your working as well.", ""},
		{"both wrong", "20", "12.4/60 × 0.988 × 4.18 × 16.5 = 20", Wrong, "working_arithmetic",
			"12.4/60 × 0.988 × 4.18 × 16.5 = 20", "the left side comes to 14.1", "14.1"},
		{"sixty times too much is no change of unit in the head", "947", "12.4 × 0.988 × 4.18 × 18.5 = 947", Wrong, "method_wrong",
			"12.4 × 0.988 × 4.18 × 18.5", "look at the method", "It is the method"},
		{"watts in the head", "15.8", "12.4/60 × 0.988 × 4180 × 18.5 = 15.8 kW", Correct, "", "", "is right", ""},
		{"the digits right, the unit not", "15.8", "12.4 L/min × 0.988 kg/L × 4.18 kJ/(kg·K) × 18.5 K\n  = 15.8 W", Correct, "working_units not_from_working",
			"12.4 L/min × 0.988 kg/L × 4.18 kJ/(kg·K) × 18.5 K = 15.8 W", "the digits of 15.8", "its unit is not"},
		{"below one another", "15.8", "12.4/60 × 0.988 × 4.18 × 18.5\r\n= 15.79\r\n≈ 15.8 kW", Correct, "", "", "is right", ""},
		{"astray below one another", "15.8", "P = 12.4/60 × 0.988 × 4.18 × 18.5\n  = 16.79\n  = 15.8 kW", Correct, "working_arithmetic working_arithmetic",
			"12.4/60 × 0.988 × 4.18 × 18.5 = 16.79", "the left side comes to 15.79", "15.79"},
		{"a line that cannot be read", "15.8", "12,4/60 = 0.2067\n12.4/60 × 0.988 × 4.18 × 18.5 = 15.8", Correct, "working_unread", "12,4/60 = 0.2067", "is right", "at character 3"},
		{"units that come to something else", "15.8", "12.4 L/min × 0.988 kg/L × 18.5 K = 15.8 kW", Correct, "working_units",
			"12.4 L/min × 0.988 kg/L × 18.5 K = 15.8 kW", "has units that come to", "15.8"},
		{"units that do not go together", "15.8", "15 kW + 0.8 m = 15.8 kW", Correct, "working_units", "15 kW + 0.8 m", "has units that do not go together", "do not go together"},
		{"ends in another unit", "15.8", "12.4/60 × 0.988 × 4.18 × 18.5 = 15.8 V", Correct, "working_units", "15.8 V", "which is no figure in kW", "ends with"},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := bay7(t, c)
			put("P", row.stated, "kW")(&s)
			working("P", row.working)(&s)
			f := find(t, Mark(c, s), "P")
			var codes []string
			for _, flag := range f.Flags {
				codes = append(codes, flag.Code)
			}
			if got := strings.Join(codes, " "); f.Verdict != row.verdict || got != row.flags {
				t.Fatalf("got %s with %q, want %s with %q\n%v", f.Verdict, got, row.verdict, row.flags, f.Flags)
			}
			if !strings.Contains(f.Trainee, row.trainee) {
				t.Errorf("the trainee reads %q, want %q in it", f.Trainee, row.trainee)
			}
			if len(f.Flags) == 0 {
				return
			}
			if !strings.Contains(f.Flags[0].Text, row.tutor) {
				t.Errorf("the tutor reads %q, want %q in it", f.Flags[0].Text, row.tutor)
			}
			at := f.Flags[0].At
			if at == nil || at.Quote != row.quote {
				t.Fatalf("points at %+v, want %q", at, row.quote)
			}
			if got := strings.Join(strings.Fields(row.working[at.From:at.To]), " "); got != row.quote {
				t.Errorf("bytes %d to %d hold %q, want %q", at.From, at.To, got, row.quote)
			}
		})
	}
}

// A place is in the working as it was typed, spaces and all.
func TestWorkingPlacesCountWhatWasTyped(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	working("P", "so then\n\t  12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 16.9 \n")(&s)
	f := find(t, Mark(c, s), "P")
	if len(f.Flags) == 0 || f.Flags[0].At == nil {
		t.Fatalf("flags %v", f.Flags)
	}
	at := f.Flags[0].At
	if at.From != 11 || at.To != 53 || at.Quote != "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 16.9" {
		t.Errorf("got %+v", at)
	}
}
