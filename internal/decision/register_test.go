package decision

import (
	"testing"
	"time"

	"witnessmark/internal/brief"
)

// on is a calibration of a day in May 2026, hour a check in house at an hour of it.
func on(day int, good bool, due brief.Day) Checkup {
	from := time.Date(2026, 5, day, 0, 0, 0, 0, time.UTC)
	return Checkup{What: Calibration, Good: good, Due: due, From: from, Until: from.AddDate(0, 0, 1)}
}

func hour(what Check, day, h int, good bool) Checkup {
	at := time.Date(2026, 5, day, h, 0, 0, 0, time.UTC)
	return Checkup{What: what, Good: good, From: at, Until: at}
}

// The rule is our own reading of common practice (no source): a check in house at one point does not shorten what a failed
// calibration puts in question.
func TestDoubtOf(t *testing.T) {
	good := on(1, true, "2027-05-01")
	tests := []struct {
		name string
		all  []Checkup
		day  int
		hour int
		want Doubt
	}{
		{"nothing is known of it", nil, 5, 12, Uncalibrated},
		{"checked in house, and never calibrated", []Checkup{hour(IcePoint, 4, 9, true)}, 5, 12, Uncalibrated},
		{"in date", []Checkup{good}, 5, 12, ""},
		{"on the last day", []Checkup{on(1, true, "2026-05-05")}, 5, 23, ""},
		{"the day after", []Checkup{on(1, true, "2026-05-05")}, 6, 0, Overdue},
		{"before its first calibration", []Checkup{on(7, true, "2026-05-08")}, 5, 12, Uncalibrated},
		{"on the day of its first calibration", []Checkup{on(7, true, "2026-05-08")}, 7, 8, ""},
		{"calibrated anew in time", []Checkup{on(1, true, "2026-05-05"), on(5, true, "2026-06-05")}, 6, 12, ""},
		{"found wrong later", []Checkup{good, on(10, false, "")}, 5, 12, InQuestion},
		{"on the day of the last good one", []Checkup{good, on(10, false, "")}, 1, 8, InQuestion},
		{"before the last good one", []Checkup{on(1, true, ""), on(4, true, ""), on(10, false, "")}, 3, 12, ""},
		{"never found right before", []Checkup{on(10, false, "")}, 5, 12, InQuestion},
		{"once it is known to be wrong", []Checkup{good, on(10, false, "")}, 12, 12, Failed},
		{"mended and calibrated the same day", []Checkup{good, on(10, false, ""), on(10, true, "2027-05-10")}, 11, 0, ""},
		{"that day itself", []Checkup{good, on(10, false, ""), on(10, true, "2027-05-10")}, 10, 9, Failed},
		{"before, although it was mended", []Checkup{good, on(10, false, ""), on(12, true, "2027-05-10")}, 9, 9, InQuestion},
		{"a check in house does not settle a calibration", []Checkup{good, on(10, false, ""), hour(IcePoint, 11, 9, true)}, 11, 10, Failed},
		{"nor shorten what it touches", []Checkup{good, hour(IcePoint, 4, 9, true), on(10, false, "")}, 2, 9, InQuestion},
		{"since the morning's check", []Checkup{good, hour(GaugeZero, 5, 8, true), hour(GaugeZero, 5, 16, false)}, 5, 12, InQuestion},
		{"before the morning's check", []Checkup{good, hour(GaugeZero, 5, 8, true), hour(GaugeZero, 5, 16, false)}, 5, 7, ""},
		{"another check's morning", []Checkup{good, hour(IcePoint, 5, 8, true), hour(GaugeZero, 5, 16, false)}, 5, 7, InQuestion},
		{"zeroed again", []Checkup{good, hour(GaugeZero, 5, 16, false), hour(GaugeZero, 5, 17, true)}, 5, 18, ""},
		{"overdue and wrong", []Checkup{on(1, true, "2026-05-02"), on(10, false, "")}, 5, 12, InQuestion},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			at := time.Date(2026, 5, test.day, test.hour, 0, 0, 0, time.UTC)
			if got := DoubtOf(test.all, at, brief.Day(at.Format(time.DateOnly))); got != test.want {
				t.Errorf("got %q, want %q", got, test.want)
			}
		})
	}
}
