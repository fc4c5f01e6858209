//go:build oracle

package oracle_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
	"witnessmark/internal/trade"
	"witnessmark/internal/uncertainty"
)

// python is the system's own, for which Debian packages the libraries; there may be another on the path.
const python = "/usr/bin/python3"

const tradeData = "../../testdata/trade/"

// table reads a check table without its heading and remarks.
func table(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return cells(t, f.Name(), csv.NewReader(f))
}

func cells(t *testing.T, name string, r *csv.Reader) [][]string {
	t.Helper()
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}

// recomputed has a program work the rows of a table again: one line of figures for each.
func recomputed(t *testing.T, program, path string) (rows [][]string, figures [][]float64) {
	t.Helper()
	rows = table(t, path)
	lines := strings.Split(strings.TrimSpace(run(t, "", python, program, path)), "\n")
	if len(lines) != len(rows) {
		t.Fatalf("%s: %d lines for %d rows", program, len(lines), len(rows))
	}
	for _, line := range lines {
		var of []float64
		for word := range strings.FieldsSeq(line) {
			of = append(of, float(t, word))
		}
		figures = append(figures, of)
	}
	return rows, figures
}

func float(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%q is no number", text)
	}
	return v
}

func within(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.17g, want %.17g to %g", what, got, want, relative)
	}
}

// printed compares with a figure as it is printed, to half of its last digit.
func printed(t *testing.T, what string, got float64, text string) {
	t.Helper()
	mantissa, exponent, _ := strings.Cut(text, "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	half := 0.5001 * math.Pow10(-len(decimals))
	if exponent != "" {
		half *= math.Pow10(int(float(t, exponent)))
	}
	if want := float(t, text); !(math.Abs(got-want) <= half) {
		t.Errorf("%s: got %.12g, the table has %s", what, got, text)
	}
}

// TestTablesAreWrittenAgain: the programs that wrote tables for the trade's functions write the same ones today, whatever
// the libraries' edition.
func TestTablesAreWrittenAgain(t *testing.T) {
	for program, name := range map[string]string{"water": "water_grid", "friction": "friction_exact", "services": "services_rows", "normal": "normal"} {
		want := table(t, tradeData+name+".csv")
		again := csv.NewReader(strings.NewReader(run(t, "", python, tradeData+program+"_oracle.py")))
		got := cells(t, program, again)
		if len(got) != len(want) {
			t.Errorf("%s: %d rows, the table has %d", name, len(got), len(want))
			continue
		}
		for i := range want {
			for k, text := range want[i] {
				w, err := strconv.ParseFloat(text, 64)
				g, err2 := strconv.ParseFloat(got[i][k], 64)
				if text != got[i][k] && (err != nil || err2 != nil || math.Abs(g-w) > 1e-12*math.Abs(w)) {
					t.Errorf("%s, row %d: %q, the table has %q", name, i, got[i][k], text)
				}
			}
		}
	}
}

// inputs reads "t=5 degC; p=0.25 MPa abs (…)" into numbers by name.
func inputs(t *testing.T, text string) map[string]float64 {
	t.Helper()
	values := map[string]float64{}
	for part := range strings.SplitSeq(text, ";") {
		name, rest, _ := strings.Cut(strings.TrimSpace(part), "=")
		figure, _, _ := strings.Cut(rest, " ")
		values[name] = float(t, figure)
	}
	return values
}

// TestWaterByIAPWS: python3-iapws and our functions come within 1e-8 of IF97's verification values, and of one another
// wherever the trade's table goes; entropy and the speed of sound no formula calls.
func TestWaterByIAPWS(t *testing.T) {
	ours := 0
	for _, name := range []string{"iapws_verification", "water_properties"} {
		rows, theirs := recomputed(t, "water.py", tradeData+name+".csv")
		for i, row := range rows {
			what := row[0] + " at " + row[1]
			if name == "iapws_verification" {
				within(t, what+" by python3-iapws", theirs[i][0], float(t, row[2]), 1e-8)
			} else {
				within(t, what+" by python3-iapws", theirs[i][0], float(t, row[2]), 6e-6) // as its figures were printed, six to eight
			}
			got, known, err := water(row[0], inputs(t, row[1]))
			if err != nil {
				t.Errorf("%s: %v", what, err)
			}
			if !known {
				continue
			}
			ours++
			within(t, what, got, theirs[i][0], 1e-8)
			if name == "iapws_verification" {
				within(t, what, got, float(t, row[2]), 1e-8)
			}
		}
	}
	if ours < 250 {
		t.Errorf("only %d rows are of our functions", ours)
	}
}

// water works a row of the tables out in the row's unit.
func water(what string, in map[string]float64) (v float64, known bool, err error) {
	kelvin, p, scale := in["t"]+273.15, in["p"]*1e6, 1.0
	if k, ok := in["T"]; ok {
		kelvin = k
	}
	switch what {
	case "IF97 R1 v":
		v, err = trade.WaterVolume(kelvin, p)
	case "IF97 R1 h":
		v, err = trade.WaterEnthalpy(kelvin, p)
		scale = 1e-3
	case "IF97 R1 cp":
		v, err = trade.WaterHeatCapacity(kelvin, p)
		scale = 1e-3
	case "IF97 psat":
		v, err = trade.WaterSaturationPressure(kelvin)
		scale = 1e-6
	case "IF97 Tsat":
		v, err = trade.WaterSaturationTemperature(p)
	case "density":
		v, err = trade.WaterDensity(kelvin, p)
	case "cp":
		v, err = trade.WaterHeatCapacity(kelvin, p)
	case "specific_enthalpy":
		v, err = trade.WaterEnthalpy(kelvin, p)
	case "dynamic_viscosity":
		v, err = trade.WaterViscosity(kelvin, p)
	case "kinematic_viscosity":
		v, err = trade.WaterKinematicViscosity(kelvin, p)
	case "thermal_conductivity":
		v, err = trade.WaterConductivity(kelvin, p)
	case "expansion_from_10C":
		v, err = trade.WaterExpansion(10+273.15, kelvin, p)
		scale = 100
	case "mean_cp":
		v, err = trade.WaterMeanHeatCapacity(in["t1"]+273.15, in["t2"]+273.15, p)
	default:
		return 0, false, nil
	}
	return v * scale, true, err
}

// TestFrictionByDecimals: the table's friction factors are those of a solver with fifty digits, to the ten or twelve that
// they are printed with; python3-fluids and our functions come within 1e-12 of it.
func TestFrictionByDecimals(t *testing.T) {
	rows, theirs := recomputed(t, "friction.py", tradeData+"friction.csv")
	if len(rows) < 180 {
		t.Errorf("only %d rows", len(rows))
	}
	for i, row := range rows {
		in, exact := inputs(t, row[1]), theirs[i][0]
		var got float64
		var err error
		figures := 1e-10
		switch row[0] {
		case "colebrook_darcy_f":
			got, err = trade.Friction(in["Re"], in["rel_roughness"], 1)
			figures = 1e-12
		case "haaland_darcy_f":
			got, err = trade.FrictionHaaland(in["Re"], in["rel_roughness"], 1)
		default:
			got, err = trade.FrictionLaminar(in["Re"])
		}
		what := row[0] + " at " + row[1]
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
		within(t, what+" in the table", float(t, row[2]), exact, 5.01*figures)
		within(t, what+" by python3-fluids", theirs[i][1], exact, 1e-12)
		within(t, what, got, exact, 1e-12)
	}
}

// TestUncertaintyByUncertainties: python3-uncertainties and scipy give what uncertainty's check table has; and what this
// program's own functions give for readings, Student's factors and shares of the normal distribution agrees with theirs.
func TestUncertaintyByUncertainties(t *testing.T) {
	rows, theirs := recomputed(t, "uncertain.py", "../uncertainty/testdata/check.csv")
	by := map[string]float64{}
	for i, row := range rows {
		printed(t, row[0]+" "+row[1], theirs[i][0], row[2])
		by[row[0]+" "+row[1]] = theirs[i][0]
		if covered, ok := strings.CutPrefix(row[0], "t quantile p="); ok {
			dof := float(t, strings.TrimPrefix(row[1], "dof="))
			within(t, row[0]+" "+row[1], uncertainty.Factor(float(t, strings.TrimSuffix(covered, "%"))/100, dof), theirs[i][0], 1e-8)
		}
	}
	for _, c := range []struct {
		readings, mean, spread string
	}{
		{"5.007 V, 4.994 V, 5.005 V, 4.990 V, 4.999 V", "GUM H.2 mean V 5 readings", "GUM H.2 s(V) 5 readings"},
		{"19.663 mA, 19.639 mA, 19.640 mA, 19.685 mA, 19.678 mA", "GUM H.2 mean I 5 readings", "GUM H.2 s(I) 5 readings"},
		{"1.0456 rad, 1.0438 rad, 1.0468 rad, 1.0428 rad, 1.0433 rad", "GUM H.2 mean phi 5 readings", "GUM H.2 s(phi) 5 readings"},
	} {
		_, unit, _ := strings.Cut(strings.Split(c.readings, ",")[0], " ")
		within(t, c.mean, worked(t, "mean("+c.readings+")", unit), by[c.mean], 1e-12)
		within(t, c.spread, worked(t, "u_mean("+c.readings+")", unit), by[c.spread], 1e-9)
	}
	for _, c := range []struct {
		row string
		z   float64
	}{
		{"conformance probability pc y=9.8; u=0.2; TL=None; TU=10", (10 - 9.8) / 0.2}, {"conformance probability pc y=10.1; u=0.2; TL=None; TU=10", (10 - 10.1) / 0.2},
		{"conformance probability pc y=0.55; u=0.1; TL=None; TU=0.8", (0.8 - 0.55) / 0.1},
	} {
		got, err := trade.NormalShare(c.z)
		if err != nil {
			t.Error(err)
		}
		within(t, c.row, got, by[c.row], 1e-14)
	}
}

// worked works a formula without names out.
func worked(t *testing.T, text, unit string) float64 {
	t.Helper()
	e, err := formula.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	p, err := formula.Compile(e, formula.Env{}, quantity.MustUnit(unit))
	if err != nil {
		t.Fatal(err)
	}
	v, err := p.EvalIn(nil)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
