package ui

import (
	"strconv"
	"strings"
	"testing"
)

// The chart of twice over 1 to 10 mm: its scale is 0 to 20 by fives on a paper whose curve lies between 28 and 170.
func TestChart(t *testing.T) {
	c := sampleFunctions()[0].Chart
	if c == nil {
		t.Fatal("there is no chart")
	}
	var up, across []string
	for _, tick := range c.Up {
		up = append(up, tick.Text)
	}
	for _, tick := range c.Across {
		across = append(across, tick.Text)
	}
	if got := strings.Join(up, " "); got != "0 5 10 15 20" {
		t.Errorf("up: got %q", got)
	}
	if got := strings.Join(across, " "); got != "2 4 6 8 10" {
		t.Errorf("across: got %q", got)
	}
	points := strings.Fields(c.Curve)
	for i, want := range map[int][2]float64{0: {52, 155.8}, len(points) - 1: {320, 28}} { // 2 and 20 on 142 units for 20
		x, y, _ := strings.Cut(points[i], ",")
		if gx, gy := float(t, x), float(t, y); gx != want[0] || gy != want[1] {
			t.Errorf("point %d: got %v, %v, want %v", i, gx, gy, want)
		}
	}
	if c.SpotX != "141.3" || c.SpotY != "113.2" { // 4 mm and 8 mm
		t.Errorf("the example stands at %s, %s", c.SpotX, c.SpotY)
	}
	if len(c.Rows) != chartTable || c.Rows[6].Y != "20.00" {
		t.Errorf("the table is %v", c.Rows)
	}
	if sampleFunctions()[1].Chart != nil {
		t.Error("a function without a chart has one")
	}
}

func TestSmallNumbersLeaveAPowerOfTenToTheAxis(t *testing.T) {
	a := axis{from: 3.2e-7, to: 1.5e-6}.divided("m²/s", 4).outward()
	if got := a.unit(); got != " (10⁻⁶"+thin+"m²/s)" {
		t.Errorf("got %q", got)
	}
	var texts []string
	for _, v := range a.ticks() {
		texts = append(texts, a.text(v))
	}
	if got := strings.Join(texts, " "); got != "0.0 0.5 1.0 1.5" {
		t.Errorf("got %q", got)
	}
}

func TestReferenceIsSearched(t *testing.T) {
	f := sampleFunctions()[0]
	for words, want := range map[string]bool{"": true, "twice": true, "LENGTH mm": true, "tube": true, "any length": true, "velocity": false, "twice velocity": false} {
		if got := matches(words, "Tube", f); got != want {
			t.Errorf("%q: got %t", words, got)
		}
	}
}

func float(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
