//go:build oracle

package oracle_test

import (
	"encoding/csv"
	"math"
	"os"
	"testing"

	"witnessmark/internal/quantity"
)

// rel is how closely an oracle's float64 arithmetic and ours must agree.
const rel = 1e-14

// difference explains why an oracle says something else. Exactly what it says is checked, too.
type difference struct {
	reason string
	to     string  // it converts into this, not into our SI unit
	factor float64 // it has this factor
	none   bool    // it has no such unit
}

const (
	countsAngles = "UCUM counts the radian, and with it the steradian, as a unit; the SI takes both for the number 1"
	noSuch       = "UCUM has no such unit"
	level        = "a level is no factor: it converts into nothing but itself"
	scaleAlone   = "a scale of its own, which converts into nothing here"
)

var ucumDiffers = map[string]difference{
	"rad": {reason: countsAngles, to: "rad"}, "mrad": {reason: countsAngles, to: "rad"}, "°": {reason: countsAngles, to: "rad"},
	"lm": {reason: countsAngles, to: "cd.sr"}, "lx": {reason: countsAngles, to: "cd.sr/m2"}, "klx": {reason: countsAngles, to: "cd.sr/m2"},
	"mmHg": {reason: "UCUM rounds the conventional column of mercury to 133.322 Pa; NIST SP 811 has 133.322 387 415 Pa from 13 595.1 kg/m³", factor: 133.322},
	"Δ°F":  {reason: "UCUM has no code for a difference in °F", none: true}, "PS": {reason: noSuch, none: true}, "dBm": {reason: noSuch, none: true},
	"dB": {reason: level, none: true}, "pH": {reason: level, none: true},
	"°dH": {reason: scaleAlone, none: true}, "°e": {reason: scaleAlone, none: true}, "LU": {reason: scaleAlone, none: true}, "bottles": {reason: scaleAlone, none: true},
}

var gnuDiffers = map[string]difference{
	"therm": {reason: "GNU units builds it of a Btu rounded to 1055.06 J (and plain therm is that of the United States); here it is 100 000 Btu of the International Table", factor: 105506000},
	"rpm":   {reason: "GNU units takes a revolution for 2π; revolutions are counted here, as with Hz", factor: 2 * math.Pi / 60},
	"dB":    {reason: level, none: true}, "dBm": {reason: level, none: true}, "pH": {reason: level, none: true},
	"°dH": {reason: scaleAlone, none: true}, "°e": {reason: scaleAlone, none: true}, "LU": {reason: scaleAlone, none: true}, "bottles": {reason: scaleAlone, none: true},
}

// tableUnits are the units of our own table and, spelt as there, of the check table, which names some that ours makes of
// others, such as gpm.
func tableUnits(t *testing.T) []quantity.Unit {
	t.Helper()
	f, err := os.Open("../../testdata/quantity/unit_table.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(f).ReadAll()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	var us []quantity.Unit
	for _, row := range quantity.Table() {
		us = append(us, row.Unit)
	}
	if len(rows) != 72 || len(us) < 141 {
		t.Fatalf("%d rows and %d units, want 72 and at least 141", len(rows), len(us))
	}
	for _, row := range rows[1:] {
		us = append(us, quantity.MustUnit(row[0]))
	}
	return us
}

// TestTableByUCUM: every unit of the table has the factor of its UCUM code.
func TestTableByUCUM(t *testing.T) { checkTable(t, ucum, ucumNotation(), ucumDiffers) }

// TestTableByGNU: every unit of the table has the factor of GNU units.
func TestTableByGNU(t *testing.T) { checkTable(t, gnu, gnuNotation(), gnuDiffers) }

func checkTable(t *testing.T, ask func(*testing.T, []question) []answer, n notation, differs map[string]difference) {
	us := tableUnits(t)
	var questions, refused []question
	var asked []quantity.Unit
	for _, u := range us {
		d, known := differs[u.String()]
		to := n.write(quantity.SIUnit(u.Dimension()))
		if known && d.to != "" {
			to = d.to
		}
		if d.none {
			continue
		}
		from := n.write(u)
		if from == "" {
			t.Errorf("%s: no name for it, and no reason why", u)
			continue
		}
		questions, asked = append(questions, question{from, to, 20}), append(asked, u)
		if d.to != "" {
			refused = append(refused, question{from, n.write(quantity.SIUnit(u.Dimension())), 20})
		}
	}
	if len(refused) > 0 {
		for i, a := range ask(t, refused) {
			if a.why == "" {
				t.Errorf("%s converts into %s: no longer different", refused[i].from, refused[i].to)
			}
		}
	}
	for i, a := range ask(t, questions) {
		want := asked[i].ToSI(20)
		if d := differs[asked[i].String()]; d.factor != 0 {
			want = 20 * d.factor
			if math.Abs(asked[i].ToSI(20)-want) <= rel*want {
				t.Errorf("%s: no longer different: %s", asked[i], d.reason)
			}
		}
		if a.why != "" || math.Abs(a.value-want) > rel*math.Abs(want) {
			t.Errorf("%s: 20 %s is %.17g %s there, %s; want %.17g", asked[i], questions[i].from, a.value, questions[i].to, a.why, want)
		}
	}
}

// TestLevelsHaveNoFactor: what the oracles are not asked converts into nothing here either, or is no unit there.
func TestLevelsHaveNoFactor(t *testing.T) {
	for _, row := range quantity.Table() {
		u := row.Unit
		if d := ucumDiffers[u.String()]; d.none && d.reason != level && row.UCUM != "" {
			t.Errorf("%s has the code %s, and should have none: %s", u, row.UCUM, d.reason)
		}
		d := gnuDiffers[u.String()]
		if d.none && (u.Scale() == "" || quantity.CheckConvertible(u, quantity.One) == nil) {
			t.Errorf("%s converts into a plain number: want none, since it is %s", u, d.reason)
		}
	}
}
