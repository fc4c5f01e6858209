package marking

import (
	"strings"
	"testing"
	"time"

	"witnessmark/internal/brief"
)

// purge is four steps: the second at least ten minutes after the first, the third at most two after the second, the last
// between thirty seconds and a minute after the third.
func purge(t testing.TB) *brief.Compiled {
	t.Helper()
	steps := []brief.Step{
		{Key: "shut", Text: "Shut the valve."},
		{Key: "wait", Text: "Read the gauge.", Wait: "10 min"},
		{Key: "open", Text: "Open the valve", Within: "2 min"},
		{Key: "look", Text: "Look for bubbles.", Wait: "30 s", Within: "1 min"},
	}
	b := &brief.Brief{Edition: brief.Edition, Key: "purge", Title: "Purge", About: "a pipe", Stages: []brief.Stage{
		{Key: "one", Title: "Purge", Items: []brief.Item{{Key: "steps", Title: "Steps", Sequence: &brief.Sequence{Steps: steps, Safety: true}}}},
	}}
	c, problems := brief.Compile(b, functions())
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

// marked marks the four steps done at some times: "-" is a step that is not ticked, "?" one without a time.
func marked(t testing.TB, c *brief.Compiled, times string) Finding {
	t.Helper()
	src := "entries:\n  - {item: other, text: x}\n"
	for i, at := range strings.Fields(times) {
		line := "  - {item: steps, part: " + c.Items[0].Item.Sequence.Steps[i].Key + ", text: done"
		switch at {
		case "-":
			continue
		case "?":
		default:
			line += `, at: "` + at + `"`
		}
		src += line + "}\n"
	}
	s, err := ReadSheet([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	return Mark(c, s).Findings[0]
}

func TestStepsInTheirTimes(t *testing.T) {
	c := purge(t)
	for _, row := range []struct {
		name, times string
		verdict     Verdict
		code        string
		says        string // in both sentences
		flags       int    // time_not_shown
	}{
		{"as they should be", "10:00:00 10:10:00 10:11:59 10:12:40", Correct, codeAllSteps, "", 0},
		{"just in time", "10:00:10 10:10:10 10:12:10 10:12:40", Correct, codeAllSteps, "", 0},
		{"to the minute", "10:00 10:10 10:12 10:13", Correct, codeAllSteps, "", 0},
		{"seconds that a minute leaves open", "10:00 10:10 10:10 10:10", Correct, codeAllSteps, "", 0},
		{"with dates, over midnight and from another zone", "2026-05-03T23:55:01+01:00 2026-05-04T00:06:02+01:00 2026-05-03T23:07:30Z 2026-05-04T00:08:10+01:00", Correct, codeAllSteps, "", 0},
		{"a second too soon", "10:00:10 10:10:09 10:11:09 10:11:45", Wrong, codeTooSoon, "“Read the gauge” came 9 min 59 s after the step before it (10:00:10, then 10:10:09), and 10 min is the least.", 0},
		{"a minute too soon", "10:00 10:09 10:10 10:11", Wrong, codeTooSoon, "came 9 min after", 0},
		{"a second too late", "10:00:10 10:10:10 10:12:11 10:12:50", Wrong, codeTooLate, "“Open the valve” came 2 min 1 s after the step before it (10:10:10, then 10:12:11), and 2 min is the most.", 0},
		{"a minute too late", "10:00 10:10 10:13 10:14", Wrong, codeTooLate, "came 3 min after", 0},
		{"a full minute beside seconds", "10:00:05 10:10:05 10:11:00 10:12:40", Wrong, codeTooLate, "came 1 min 40 s after", 0},
		{"two at once", "10:00:10 10:01:10 10:09:10 10:09:50", Wrong, codeTooSoon, "came 8 min after", 0},
		{"turned round", "10:20:05 10:10:05 10:21:05 10:21:45", Wrong, codeOutOfOrder, "“Shut the valve” (10:20:05) comes before “Read the gauge” (10:10:05), and was done after it.", 0},
		{"all of it backwards", "10:30:05 10:20:05 10:10:05 10:00:05", Wrong, codeOutOfOrder, "“Shut the valve” (10:30:05) comes before “Look for bubbles” (10:00:05)", 0},
		{"live before it is dead, by hours", "14:00:01 09:59:59 14:01:00 14:01:45", Wrong, codeOutOfOrder, "(14:00:01) comes before", 0},
		{"without times", "? ? ? ?", Correct, codeAllSteps, "", 3},
		{"without one time", "10:00:10 10:10:10 ? 10:12:40", Correct, codeAllSteps, "", 2},
		{"out of order around a gap", "10:20:05 ? 10:10:05 10:11:05", Wrong, codeOutOfOrder, "“Shut the valve” (10:20:05) comes before “Open the valve” (10:10:05)", 2},
		{"a step missing", "10:00:10 10:10:10 - 10:12:40", Wrong, codeStepsMissing, "pen: Open the valve.", 1},
		{"a step missing, and too soon", "10:00:10 10:01:10 - 10:12:40", Wrong, codeStepsMissing, "10 min is the least", 1},
		{"nothing", "- - - -", NotAttempted, codeBlank, "", 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			f := marked(t, c, row.times)
			if f.Verdict != row.verdict || f.Code != row.code || f.Blocks != (f.Verdict != Correct) {
				t.Errorf("got %s, %s, blocks %v; want %s, %s", f.Verdict, f.Code, f.Blocks, row.verdict, row.code)
			}
			if !strings.Contains(f.Tutor, row.says) || !strings.Contains(f.Trainee, row.says) {
				t.Errorf("%q is missing:\n%s\n%s", row.says, f.Tutor, f.Trainee)
			}
			flags := 0
			for _, flag := range f.Flags {
				if flag.Code == FlagTimeNotShown {
					flags++
				}
			}
			if flags != row.flags || len(f.Flags) != flags {
				t.Errorf("flags %+v, want %d of time_not_shown", f.Flags, row.flags)
			}
		})
	}
}

// Steps that keep no time are judged by their ticks, in order where times stand beside them.
func TestStepsWithoutTimesOfTheirOwn(t *testing.T) {
	c := purge(t)
	for i := range c.Items[0].Steps {
		s := &c.Items[0].Steps[i]
		s.Wait, s.Within = 0, 0
		s.Step.Wait, s.Step.Within = "", ""
	}
	for times, code := range map[string]string{"? ? ? ?": codeAllSteps, "10:00 10:00 10:00 10:00": codeAllSteps, "10:01 10:00 10:02 10:03": codeOutOfOrder} {
		if f := marked(t, c, times); f.Code != code || len(f.Flags) > 0 {
			t.Errorf("%s: got %s with %v, want %s", times, f.Code, f.Flags, code)
		}
	}
}

func TestReadSheetTimes(t *testing.T) {
	for text, want := range map[string]time.Time{
		`"10:42"`:                   time.Date(0, 1, 1, 10, 42, 0, 0, time.UTC),
		`10:42`:                     time.Date(0, 1, 1, 10, 42, 0, 0, time.UTC),
		`"10:42:30"`:                time.Date(0, 1, 1, 10, 42, 30, 0, time.UTC),
		`00:00`:                     time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC),
		`2026-05-03T10:42:30Z`:      time.Date(2026, 5, 3, 10, 42, 30, 0, time.UTC),
		`2026-05-03T10:42:30+01:00`: time.Date(2026, 5, 3, 9, 42, 30, 0, time.UTC),
		`""`:                        {},
	} {
		s, err := ReadSheet([]byte("entries:\n  - {item: a, text: done, at: " + text + "}\n"))
		if err != nil {
			t.Errorf("%s: %v", text, err)
		} else if got := s.Entries[0].At; !got.Equal(want) || got.IsZero() != want.IsZero() {
			t.Errorf("%s is read as %v, want %v", text, got, want)
		}
	}
	for _, c := range []struct{ name, src, field, says string }{
		{"no time", "entries: [{item: a, at: noon}]\n", "1:25", "A time is written as 10:42"},
		{"a time of no day", "entries: [{item: a, at: \"25:00\"}]\n", "1:25", "A time is written as 10:42"},
		{"a date alone", "entries: [{item: a, at: 2026-05-03}]\n", "1:25", "A time is written as 10:42"},
		{"a time without its zone", "entries: [{item: a, at: \"2026-05-03T10:42:30\"}]\n", "1:25", "A time is written as 10:42"},
		{"a list of times", "entries: [{item: a, at: [1]}]\n", "1:25", "Words or a number"},
		{"with and without a date", "entries:\n  - {item: a, at: 10:42}\n  - {item: b, at: 2026-05-03T10:42:30Z}\n", "3:19", "with their dates, or none"},
	} {
		t.Run(c.name, func(t *testing.T) { refusedSheet(t, ReadSheet, c.src, c.field, c.says) })
	}
}
