package seed

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"witnessmark/internal/trade"
)

// values is a trainee's own numbers by name: what was given, read and worked out so far.
type values map[string]float64

// put is what a trainee puts down on one line.
type put struct{ text, unit, working string }

// line works out what a trainee puts down from what they have so far.
type line func(v values) put

// step is one line of a brief's work, in order.
type step struct {
	slot string // item, item#part, item@phase or item#part@phase
	do   line
}

// number is the number at the front of what was put down, as whoever wrote it means it; zero for words.
func number(text string) float64 {
	first, _, _ := strings.Cut(strings.TrimSpace(text), " ")
	v, err := strconv.ParseFloat(strings.Replace(first, ",", ".", 1), 64)
	if err != nil {
		return 0
	}
	return v
}

// word puts down the same for everybody.
func word(s string) line { return func(values) put { return put{text: s} } }

// show puts down a number with so many decimals.
func show(decimals int, f func(v values) float64) line {
	return func(v values) put { return put{text: fixed(f(v), decimals)} }
}

func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

// plain is a number as a person writes it down, without zeros at its end.
func plain(x float64) string { return strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64) }

// near is a reading that lies a few steps off the usual, another for each trainee.
func near(decimals int, usual, step float64) line {
	return show(decimals, func(v values) float64 { return usual + step*v["nudge"] })
}

// shown is show with its working, whose verbs take the numbers of args, and a unit where the form asks for one.
func shown(decimals int, unit, working string, f func(v values) float64, args ...string) line {
	return func(v values) put {
		text := fixed(f(v), decimals)
		var as []any
		for _, a := range args {
			as = append(as, plain(v[a]))
		}
		return put{text: text, unit: unit, working: fmt.Sprintf(working, as...) + " = " + text}
	}
}

// pumped is the first brief. Flow, return and heat go together: what the rig gives lies near the trainee's own load.
func pumped() []step {
	q := func(add float64) func(v values) float64 {
		return func(v values) float64 { return v["qv_design"]*v["flow"] + add }
	}
	return []step{
		{"tf_found@as-found", near(1, 66.5, 0.7)},
		{"coil_found@as-found", near(1, 49, 0.9)},
		{"warm_found@as-found", near(1, 2.5, 0.2)},
		{"cool", near(1, 31.5, 0.8)},
		{"vent_feed", near(0, 118, 6)},
		{"clip", near(0, 1420, 35)},
		{"warm_left@as-left", near(1, 8.6, 0.3)},
		{"dt_design", show(0, func(v values) float64 { return v["t_flow"] - v["t_ret"] })},
		{"qm_design", shown(3, "kg/s", "%s ÷ (4.18 × %s)", func(v values) float64 { return v["load"] / 4.18 / v["dt_design"] }, "load", "dt_design")},
		{"qv_design", shown(2, "", "%s ÷ 0.985 × 60", func(v values) float64 { return v["qm_design"] / 0.985 * 60 }, "qm_design")},
		{"tube", func(v values) put {
			if v["qv_design"]/60000/(math.Pi*0.0136*0.0136/4) <= 0.85 {
				return put{text: "15 × 0.7 mm"}
			}
			return put{text: "22 × 0.9 mm"}
		}},
		{"qv#1@as-left", show(1, q(0))},
		{"qv#2@as-left", show(1, q(-0.1))},
		{"qv#3@as-left", show(1, q(0.1))},
		{"tf@as-left", show(1, func(v values) float64 { return v["hot"] })},
		{"tr@as-left", show(1, func(v values) float64 { return v["hot"] - 0.97*v["load"]*60/(4.18*0.985*q(0)(v)) })},
		{"dt_run", show(1, func(v values) float64 { return v["tf"] - v["tr"] })},
		{"qm", shown(3, "kg/s", "%s ÷ 60 × 0.985", func(v values) float64 { return v["qv"] / 60 * 0.985 }, "qv")},
		{"heat", shown(2, "kW", "%s × 4.18 × %s", func(v values) float64 { return v["qm"] * 4.18 * v["dt_run"] }, "qm", "dt_run")},
		{"v_main", shown(3, "", "%s ÷ 60000 ÷ (π × 0.0202² ÷ 4)", func(v values) float64 { return v["qv"] / 60000 / (math.Pi * 0.0202 * 0.0202 / 4) }, "qv")},
		{"share", show(1, func(v values) float64 { return v["heat"] / v["load"] * 100 })},
		{"setting", func(v values) put {
			switch r := v["qv"] / v["qv_design"]; {
			case r < 0.95:
				return put{text: "raise the pump one setting"}
			case r <= 1.15:
				return put{text: "leave the pump as it is"}
			}
			return put{text: "lower the pump one setting"}
		}},
	}
}

// density is water's, kg/m³, at a temperature in °C, as a trainee reads it off the sheet on the wall: to one decimal.
func density(t float64) float64 {
	rho, err := trade.WaterDensity(t+273.15, 250_000)
	if err != nil {
		return 1000 // not reached: the rig's temperatures lie inside the range
	}
	return math.Round(rho*10) / 10
}

// sealed is the second brief.
func sealed() []step {
	gas := func(v values) float64 { return v["V_fitted"] * (v["p0"] + 1) / (v["pa"] + 1) }
	return []step{
		{"p_start", near(2, 4.72, 0.02)},
		{"p_end", near(2, 4.69, 0.02)},
		{"t_hot_f@as-left", near(1, 79.5, 0.4)},
		{"t_hot_r@as-left", near(1, 69, 0.5)},
		{"t_fill", show(1, func(v values) float64 { return v["cold"] })},
		{"E_cyl", func(v values) put {
			cold := density(v["t_fill"]) / 1000
			text := fixed(v["V_cyl"]*cold*4.18*(60-v["t_fill"])/3600, 2)
			return put{text, "kWh", fmt.Sprintf("%s × %s × 4.18 × (60 − %s) ÷ 3600 = %s", plain(v["V_cyl"]), plain(cold), plain(v["t_fill"]), text)}
		}},
		{"t_heat", shown(1, "", "%s ÷ %s × 60", func(v values) float64 { return v["E_cyl"] / v["P_coil"] * 60 }, "E_cyl", "P_coil")},
		{"V_sys", shown(1, "", "%s × 0.3205 + %s × 0.1453 + %s + 6.2", func(v values) float64 {
			return v["L22"]*0.3205 + v["L15"]*0.1453 + v["V_rad"] + 6.2
		}, "L22", "L15", "V_rad")},
		{"V_exp", func(v values) put {
			cold, hot := density(v["t_fill"]), density(75)
			text := fixed(v["V_sys"]*(cold/hot-1), 2)
			return put{text, "L", fmt.Sprintf("%s × (%.1f ÷ %.1f − 1) = %s", plain(v["V_sys"]), cold, hot, text)}
		}},
		{"p_charge", shown(2, "", "%s × 1000 × 9.81 ÷ 100000 + 0.3", func(v values) float64 { return v["h_static"]*0.0981 + 0.3 }, "h_static")},
		{"V_vessel", shown(1, "", "(%s + 3) × 3.5 ÷ (2.5 − %s)", func(v values) float64 {
			return (v["V_exp"] + 3) * 3.5 / (2.5 - v["p_charge"])
		}, "V_exp", "p_charge")},
		{"p0@as-left", show(2, func(v values) float64 { return v["p_charge"] })},
		{"p_drop", show(2, func(v values) float64 { return v["p_start"] - v["p_end"] })},
		{"bottles", func(v values) put {
			if v["V_sys"] <= 50 {
				return put{text: "one bottle"}
			}
			return put{text: "two bottles"}
		}},
		{"p_fill", shown(2, "", "(%s + 1) × %s ÷ (%[2]s − 3) − 1", func(v values) float64 {
			return (v["p0"]+1)*v["V_fitted"]/(v["V_fitted"]-3) - 1
		}, "p0", "V_fitted")},
		{"pa@as-left", show(2, func(v values) float64 { return math.Ceil(v["p_fill"]*20-1e-9) / 20 })},
		{"p_predict", func(v values) put {
			va := math.Round(gas(v)*100) / 100
			text := fixed((v["pa"]+1)*va/(va-v["V_exp"])-1, 2)
			return put{text, "", fmt.Sprintf("%s × %s ÷ %s = %s\n%s × %s ÷ (%[4]s − %[7]s) − 1 = %[8]s", plain(v["V_fitted"]), plain(v["p0"]+1),
				plain(v["pa"]+1), plain(va), plain(v["pa"]+1), plain(va), plain(v["V_exp"]), text)}
		}},
		{"p_hot@as-left", show(2, func(v values) float64 { return v["p_predict"] + v["beyond"] })},
		{"p_gap", show(2, func(v values) float64 { return v["p_hot"] - v["p_predict"] })},
		{"verdict", func(v values) put {
			switch {
			case v["p_gap"] > 0.35:
				return put{text: "the vessel takes less than it should: check pre-charge and water in the gas side"}
			case v["p_gap"] < -0.35:
				return put{text: "the water was not as hot as assumed, or the content is smaller than reckoned"}
			}
			return put{text: "prediction and gauge agree as well as this gauge can show"}
		}},
	}
}

// wired is the third brief.
func wired() []step {
	return []step{
		{"ins_found@as-found", near(0, 38, 4)},
		{"R12_calc", shown(3, "Ω", "29.6 × %s ÷ 1000", func(v values) float64 { return 29.6 * v["L_cable"] / 1000 }, "L_cable")},
		{"R12", show(2, func(v values) float64 { return v["R12_calc"] + 0.02 })},
		{"cpc", show(2, func(v values) float64 { return 0.0296*v["L_cable"]*0.6 + 0.02 })},
		{"I_load", shown(2, "A", "(45 + 12 + %s + %s) ÷ 230", func(v values) float64 {
			return (57 + v["P_board"] + v["P_frost"]) / 230
		}, "P_board", "P_frost")},
		{"fuse", func(v values) put {
			if v["I_load"] <= 3 {
				return put{text: "3 A"}
			}
			return put{text: "5 A"}
		}},
		{"U_m", show(0, func(v values) float64 { return v["mains"] })},
		{"I_m", show(2, func(v values) float64 { return v["I_load"] * v["mains"] / 230 * 0.97 })},
	}
}
