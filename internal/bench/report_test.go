package main

import (
	"strings"
	"testing"
	"time"
)

func TestReadPgbench(t *testing.T) {
	// As pgbench 15.18 prints it, shortened; the first second does not count.
	report := `pgbench (15.18 (Debian 15.18-0+deb12u1))
progress: 1.0 s, 54.0 tps, lat 21.060 ms stddev 2.1, 0 failed
progress: 2.0 s, 400.0 tps, lat 21.060 ms stddev 2.1, 0 failed
progress: 4.0 s, 100.0 tps, lat 21.060 ms stddev 2.1, 0 failed
number of transactions actually processed: 656
number of failed transactions: 0 (0.000%)
tps = 163.9 (without initial connection time)
`
	got, err := readPgbench(report)
	if want := (tally{656, 600, 3 * time.Second}); err != nil || got != want || got.perSecond() != 200 {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
	for name, bad := range map[string]string{
		"nothing": "", "failures": strings.Replace(report, "transactions: 0", "transactions: 3", 1),
		"no progress": strings.ReplaceAll(report, "progress", "regress"), "a stand-still": strings.NewReplacer("400.0", "0.0", "100.0", "0.0").Replace(report),
	} {
		if got, err := readPgbench(bad); err == nil {
			t.Errorf("%s: got %+v, want trouble", name, got)
		}
	}
}
