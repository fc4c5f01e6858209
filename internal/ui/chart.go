package ui

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/quantity"
)

// The chart's paper, in its own units: the curve lies inside the margins.
const (
	chartWide, chartHigh    = 340, 210
	chartLeft, chartRight   = 52, 20
	chartTop, chartBottom   = 28, 40
	chartPoints, chartTable = 61, 7
)

// ChartView is a small line chart, drawn by the page's own SVG, with the table that says the same.
type ChartView struct {
	ID, Title, Says string // Says is the chart in a sentence, for who cannot see it
	Curve           string // the points of the polyline
	SpotX, SpotY    string // the example
	Across, Up      []Tick
	XName, YName    string
	Left, Right     int // where the axes run
	Top, Bottom     int
	Rows            []ChartRow
	XHead, YHead    string
}

// Tick is a mark on an axis, and where it stands.
type Tick struct{ At, Text string }

// ChartRow is a line of the table behind a chart.
type ChartRow struct{ X, Y string }

// Wide and High are the size of the paper.
func (*ChartView) Wide() int { return chartWide }

// High is its height.
func (*ChartView) High() int { return chartHigh }

// newChartView draws the function's chart; nil where it has none, or where it cannot be worked out.
func newChartView(e app.TradeEntry) *ChartView {
	curve, spot, err := e.Curve(chartPoints)
	if err != nil {
		return nil
	}
	param := e.Params[0]
	for _, p := range e.Params {
		if p.Name == e.Chart.Over {
			param = p
		}
	}
	x, y := axis{from: curve[0].X, to: curve[len(curve)-1].X}, axis{from: spot.Y, to: spot.Y}
	for _, p := range curve {
		y.from, y.to = math.Min(y.from, p.Y), math.Max(y.to, p.Y)
	}
	x, y = x.divided(param.Unit.String(), 6), y.divided(e.Result.String(), 4).outward()
	c := &ChartView{
		ID: "chart-" + e.Name, Title: e.Name + " over " + param.Name, XName: param.Name + x.unit(), YName: e.Name + y.unit(),
		Left: chartLeft, Right: chartWide - chartRight, Top: chartTop, Bottom: chartHigh - chartBottom,
		XHead: param.Name + inBrackets(param.Unit.String()), YHead: e.Name + inBrackets(e.Result.String()),
	}
	c.Says = fmt.Sprintf("%s from %s to %s, the other values as in the example: from %s to %s.", param.Name, e.Chart.From, e.Chart.To,
		quantity.FormatFigures(curve[0].Y, e.Result, 3), quantity.FormatFigures(curve[len(curve)-1].Y, e.Result, 3))
	across := func(v float64) string { return spotted(x, v, chartLeft, chartWide-chartRight) }
	up := func(v float64) string { return spotted(y, v, chartHigh-chartBottom, chartTop) }
	var points []string
	for i, p := range curve {
		points = append(points, across(p.X)+","+up(p.Y))
		if i%((chartPoints-1)/(chartTable-1)) == 0 {
			c.Rows = append(c.Rows, ChartRow{quantity.RoundFigures(p.X, 4), quantity.RoundFigures(p.Y, 4)})
		}
	}
	c.Curve = strings.Join(points, " ")
	if spot.X >= x.from && spot.X <= x.to {
		c.SpotX, c.SpotY = across(spot.X), up(spot.Y)
	}
	for _, v := range x.ticks() {
		c.Across = append(c.Across, Tick{across(v), x.text(v)})
	}
	for _, v := range y.ticks() {
		c.Up = append(c.Up, Tick{up(v), y.text(v)})
	}
	return c
}

// spotted is where a value stands between the two ends of an axis on the paper.
func spotted(a axis, v, from, to float64) string {
	return strconv.FormatFloat(from+(to-from)*(v-a.from)/(a.to-a.from), 'f', 1, 64)
}

func inBrackets(unit string) string {
	if unit == "" {
		return ""
	}
	return " (" + unit + ")"
}

// axis is the span of values along one side, its step, and the power of ten that its numbers leave out.
type axis struct {
	from, to, step float64
	power          int
	name           string
}

// divided gives the axis at most so many steps, each of 1, 2 or 5 times a power of ten.
func (a axis) divided(unit string, parts float64) axis {
	if a.to < a.from {
		a.from, a.to = a.to, a.from
	}
	a.name = unit
	raw := (a.to - a.from) / parts
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	a.step = 10 * ten
	for _, m := range []float64{1, 2, 5} {
		if m*ten >= raw*(1-1e-9) {
			a.step = m * ten
			break
		}
	}
	if largest := math.Max(math.Abs(a.from), math.Abs(a.to)); largest < 1e-2 || largest >= 1e5 {
		a.power = 3 * int(math.Floor(math.Log10(largest)/3))
	}
	return a
}

// outward gives the axis round ends.
func (a axis) outward() axis {
	a.from, a.to = math.Floor(a.from/a.step+1e-9)*a.step, math.Ceil(a.to/a.step-1e-9)*a.step
	return a
}

func (a axis) ticks() []float64 {
	var out []float64
	for i := math.Ceil(a.from/a.step - 1e-9); i*a.step <= a.to+1e-9*a.step; i++ {
		out = append(out, i*a.step)
	}
	return out
}

// text is the number at a tick, to as many decimals as the step has.
func (a axis) text(v float64) string {
	scale := math.Pow(10, float64(a.power))
	decimals := max(0, -int(math.Floor(math.Log10(a.step/scale)+1e-9)))
	return quantity.RoundDecimals(v/scale, decimals)
}

// unit is what stands behind the axis's name.
func (a axis) unit() string {
	if a.power == 0 {
		return inBrackets(a.name)
	}
	return inBrackets(strings.TrimSpace("10" + superscript(a.power) + thin + a.name))
}

func superscript(n int) string {
	return strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(n))
}
