package seed

import "fmt"

// evening is what was handed over today and yesterday beside the attempts that wait already: with them, twelve for an evening's
// marking, some right and most with a mistake or two in them.
func evening() []script {
	sealed := func(who string, number, day, hour int, cold, beyond float64, own map[string]line) script {
		return script{who: who, brief: 1, number: number, tutor: "ellingham", day: day, hour: hour, stages: 6, end: checked, params: usual(1, 69, cold, beyond, 238), own: own}
	}
	wired := func(who string, number, day, hour int, mains float64, own map[string]line) script {
		return script{who: who, brief: 2, number: number, tutor: "ellingham", day: day, hour: hour, stages: 5, end: checked, params: usual(1, 69, 11, 0.05, mains), own: own}
	}
	return []script{
		sealed("lukasz", 8, 2, 9, 11.5, 0.05, lukaszSealed()),
		sealed("tomas", 23, 2, 10, 10, 0.06, tomasSealed()),
		sealed("aicha", 26, 1, 9, 12.5, 0.03, aichaSealed()),
		sealed("bich-ha", 29, 1, 10, 11, 0.05, nil),
		wired("lukasz", 9, 1, 13, 237, lukaszWired()),
		wired("anna", 18, 1, 14, 240, annaWired()),
		wired("aicha", 27, 1, 15, 237, aichaWired()),
	}
}

// lukaszSealed divides by 1000 where an hour has 3600 seconds; the time to heat up follows from it.
func lukaszSealed() map[string]line {
	return map[string]line{
		"E_cyl": func(v values) put {
			text := fixed(v["V_cyl"]*4.18*(60-v["t_fill"])/1000, 1)
			return put{text, "kWh", fmt.Sprintf("%s × 4.18 × (60 − %s) ÷ 1000 = %s", plain(v["V_cyl"]), plain(v["t_fill"]), text)}
		},
		"why_charge": word("Because the gas is what gives way. With no gas behind it the water has nowhere to go."),
	}
}

// tomasSealed gives hours as minutes, and says next to nothing.
func tomasSealed() map[string]line {
	return map[string]line{
		"t_heat": func(v values) put {
			text := fixed(v["E_cyl"]/v["P_coil"], 2)
			return put{text: text, working: fmt.Sprintf("%s ÷ %s = %s", plain(v["E_cyl"]), plain(v["P_coil"]), text)}
		},
		"why_charge": word("It says so on the label."),
	}
}

// aichaSealed reckons with the boiler's output and not with the coil's.
func aichaSealed() map[string]line {
	return map[string]line{
		"t_heat": func(v values) put {
			text := fixed(v["E_cyl"]/v["P_boiler"]*60, 1)
			return put{text: text, working: fmt.Sprintf("%s ÷ %s × 60 = %s", plain(v["E_cyl"]), plain(v["P_boiler"]), text)}
		},
		"handed": word("If it drips at the tundish, switch off at the wall and call."),
	}
}

// lukaszWired has it all right; aichaWired has his readings and his words.
func lukaszWired() map[string]line {
	return map[string]line{
		"ins_found@as-found": word("41"),
		"held":               word("It stays where it is, since nothing drives it and the spring only works against the motor."),
	}
}

// annaWired put the valve down at one row as it should stand and not as it stood, and says one thing by halves.
func annaWired() map[string]line {
	return map[string]line{
		"demands#hw-satisfied/valve": word("mid (both)"),
		"held":                       word("White is dead, so the motor stands still wherever it was."),
		"grey_broken":                word("Only in the row with both satisfied."),
	}
}

// aichaWired worked at the same bench.
func aichaWired() map[string]line { return lukaszWired() }
