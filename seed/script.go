package seed

import (
	"fmt"

	"witnessmark/internal/decision"
	"witnessmark/seed/picture"
)

// end says how far a scripted attempt has come.
type end int

const (
	leftOpen end = iota
	stoppedForSafety
	handedOver // the marker has not run
	checked
	decided
	signedOff
	moreToDo
)

// script is one attempt as it went, by hand: who, when, how far, and what they got wrong.
type script struct {
	who    string
	brief  int // into order
	number int // tells pictures apart
	tutor  string
	day    int // days before now on which the trainee starts, at hour o'clock
	hour   int
	stages int // how many were worked on
	items  int // of the last of them; 0 means all
	end    end
	params values          // what the rig shows this trainee
	own    map[string]line // by slot: what is not as the brief's work would have it
	hands  string          // the serial number of the contact thermometer that they said they had in hand; "" where they did not
	said   string          // the tutor's words at the end
	more   decision.More   // what they say where there is more to do

	agreed  *decision.Adjustment // before it begins; nil for most
	watched []watched
}

// params of a rig that behaves: flow over what was planned, flow temperature, fill water, hot pressure beyond what was
// predicted, mains voltage.
func usual(flow, hot, cold, beyond, mains float64) values {
	return values{"flow": flow, "hot": hot, "cold": cold, "beyond": beyond, "mains": mains}
}

// scripts is what happened at the demonstration centre, the earliest of each brief first.
func scripts() []script {
	return []script{
		{who: "sian", brief: 0, number: 3, tutor: "ellingham", day: 39, hour: 9, stages: 7, end: signedOff, params: usual(1.03, 68.5, 11, 0.05, 238), own: sian(), watched: sianWatched(),
			said: "Clean joints and a sketch that I could have built from. Your reading of the meter is steady; keep taking three."},
		{who: "lukasz", brief: 0, number: 7, tutor: "ellingham", day: 11, hour: 9, stages: 7, end: moreToDo, params: usual(0.98, 70.0, 11, 0.05, 238), own: lukasz(),
			more: decision.More{
				Good:    "Isolation and pipe order were sound, and your planning is right.",
				Missing: "The meter shows litres a minute, and you worked with litres a second. One joint was photographed before it was wiped.",
				ToDo:    "Take flow, return and meter again and work the heat afresh. Clean the joint and show it.",
			}},
		{who: "alexis", brief: 0, number: 12, tutor: "aspinal", day: 38, hour: 13, stages: 7, end: signedOff, params: usual(1.08, 66.0, 11, 0.05, 238), own: alexis(),
			said: "You slipped in the first subtraction and everything after it follows correctly from that; the tube is right for the true figure. Read the difference twice next time."},
		{who: "anna", brief: 0, number: 16, tutor: "ellingham", day: 8, hour: 10, stages: 7, end: decided, params: usual(1.01, 71.0, 11, 0.05, 238), own: anna()},
		{who: "tomas", brief: 0, number: 21, tutor: "ellingham", day: 6, hour: 9, stages: 7, end: checked, params: usual(1.2, 67.5, 11, 0.05, 238), own: tomas()},
		{who: "aicha", brief: 0, number: 25, tutor: "ellingham", day: 2, hour: 14, stages: 7, end: handedOver, params: usual(0.9, 69.0, 11, 0.05, 238), own: aicha()},
		{who: "bich-ha", brief: 0, number: 28, tutor: "ellingham", day: 3, hour: 9, stages: 3, end: leftOpen, params: usual(1, 69, 11, 0.05, 238)},
		{who: "chidera", brief: 0, number: 31, tutor: "aspinal", day: 5, hour: 9, stages: 4, items: 3, end: leftOpen, params: usual(1, 69, 11, 0.05, 238)},
		{who: "zoe", brief: 0, number: 34, tutor: "aspinal", day: 1, hour: 13, stages: 1, items: 5, end: leftOpen, params: usual(1, 69, 11, 0.05, 238)},
		{who: "ipek", brief: 0, number: 37, tutor: "ellingham", day: 4, hour: 10, stages: 2, end: stoppedForSafety, params: usual(1, 69, 11, 0.05, 238),
			said: "The spur's cover was cracked behind the tag. Nobody touches Bay 7 until the technician has changed it."},
		{who: "sian", brief: 1, number: 4, tutor: "ellingham", day: 22, hour: 9, stages: 6, end: signedOff, params: usual(1, 69, 10.5, 0.04, 238), own: sianSealed(), hands: drifted,
			said: "Prediction and gauge within half a tenth, and all three blanks back before I asked. Good."},
		{who: "alexis", brief: 1, number: 13, tutor: "ellingham", day: 4, hour: 9, stages: 6, end: checked, params: usual(1, 69, 12, 1.15, 238), own: alexisSealed(), hands: drifted},
		{who: "anna", brief: 1, number: 17, tutor: "ellingham", day: 3, hour: 13, stages: 3, end: leftOpen, params: usual(1, 69, 9.5, 0.05, 238), agreed: aloud()},
		{who: "sian", brief: 2, number: 5, tutor: "ellingham", day: 11, hour: 9, stages: 5, end: signedOff, params: usual(1, 69, 11, 0.05, 239),
			said: "Proved, tested, proved again without being asked, and you could say what each row means."},
		{who: "tomas", brief: 2, number: 22, tutor: "ellingham", day: 5, hour: 9, stages: 5, end: checked, params: usual(1, 69, 11, 0.05, 236), own: tomasWired(), watched: tomasWatched()},
		{who: "alexis", brief: 2, number: 14, tutor: "ellingham", day: 1, hour: 9, stages: 3, end: leftOpen, params: usual(1, 69, 11, 0.05, 241)},
		{who: "priya", brief: 0, number: 41, tutor: "aspinal", day: 2, hour: 18, stages: 1, end: leftOpen, params: usual(1, 69, 11, 0.05, 238)},
	}
}

func sian() map[string]line {
	return map[string]line{
		"told": func(v values) put {
			return put{text: fmt.Sprintf("The hot water used to warm by itself, without the pump, and the boiler had no way of knowing when to stop. Now one pump serves radiators and cylinder, and a valve shares the heat. In ten minutes the cylinder gained %s degrees before; now it gains %s. Turn both thermostats down and listen: boiler and pump stop.", plain(v["warm_found"]), plain(v["warm_left"]))}
		},
	}
}

func sianSealed() map[string]line {
	return map[string]line{
		"handed": func(v values) put {
			return put{text: fmt.Sprintf("Cold, the needle stands at %s bar; hot, near %s bar. Below 0.8 bar cold: top up through the loop, then take the loop off again. More than twice a year: call. Needle near 3 bar, water or steam at the tundish: switch off at the wall, call, and touch nothing.", fixed(v["pa"], 1), fixed(v["p_hot"], 1))}
		},
	}
}

// alexisSealed saw the gauge go past the limit and said so.
func alexisSealed() map[string]line {
	return map[string]line{
		"handed": func(v values) put {
			return put{text: fmt.Sprintf("Cold %s bar. Hot it went to %s bar, which is too much, so do not run it until we have been back. If it drips at the tundish, switch off and call.", fixed(v["pa"], 1), fixed(v["p_hot"], 1))}
		},
		"why_charge": word("You read the water and not the gas. If there is no gas the vessel is full, the water has nowhere to go and the valve lifts."),
	}
}

// lukasz takes the meter's litres a minute for litres a second and carries it through.
func lukasz() map[string]line {
	return map[string]line{
		"qm": func(v values) put {
			rho := density(v["tr"]) / 1000
			text := fixed(v["qv"]*rho, 2)
			return put{text, "kg/s", fmt.Sprintf("%s × %.4f = %s", plain(v["qv"]), rho, text)}
		},
		"heat": func(v values) put {
			text := fixed(v["qm"]*4.18*v["dt_run"], 0)
			return put{text, "kW", fmt.Sprintf("%s × 4.18 × %s = %s", plain(v["qm"]), plain(v["dt_run"]), text)}
		},
		"share":    func(v values) put { return put{text: fixed(v["heat"]/v["load"]*100, 0)} },
		"told":     word("It is pumped now, before it was gravity. The valve shares the heat between cylinder and radiators. Turn both thermostats down and the boiler stops."),
		"why_last": word("So that the water from the cylinder goes straight into the boiler. In summer the radiators would get warm when you only want hot water."),
	}
}

// alexis is half a kelvin out in the first subtraction; everything after it follows. The tube he takes is right for the
// true difference, because he read it off the chart.
func alexis() map[string]line {
	return map[string]line{
		"dt_design": func(v values) put { return put{text: fixed(v["t_flow"]-v["t_ret"]+0.6, 1)} },
		"tube": func(v values) put {
			true_ := v["load"] / 4.18 / (v["t_flow"] - v["t_ret"]) / 0.985 * 60
			if true_/60000/(3.14159265*0.0136*0.0136/4) <= 0.85 {
				return put{text: "15 × 0.7 mm"}
			}
			return put{text: "22 × 0.9 mm"}
		},
		"told":     word("Your hot water was carried up by itself through the thick pipe, slowly. Now the pump pushes it. When the cylinder and the room are warm enough, boiler and pump both stop; you can hear it."),
		"why_last": word("Because of reversed circulation. With only the hot water on, its return would push up the radiators' returns, and they would warm from the wrong end on a warm evening."),
	}
}

// anna works the heat with the habitual 20 K and not with what she measured.
func anna() map[string]line {
	return map[string]line{
		"heat": func(v values) put {
			text := fixed(v["qm"]*4.18*20, 1)
			return put{text, "kW", fmt.Sprintf("%s × 4.18 × 20 = %s", plain(v["qm"]), text)}
		},
		"dry":      word("one weeps, made good, then dry"),
		"told":     word("The cylinder had no pump of its own and nothing told the boiler to stop. Both are put right. If the boiler runs although both thermostats are turned down, ring the centre."),
		"why_last": word("The last connection has the lowest pressure in the return. Anything before it could be pushed backwards by the cylinder's flow, and you would find a warm radiator in July."),
	}
}

// tomas states kilowatts where he has watts, forgets a unit, and changes two digits round.
func tomas() map[string]line {
	return map[string]line{
		"qm": func(v values) put {
			text := fixed(v["qv"]/60*0.985, 3)
			return put{text: text, working: fmt.Sprintf("%s ÷ 60 × 0.985 = %s", plain(v["qv"]), text)}
		},
		"heat": func(v values) put {
			text := fixed(v["qm"]*4180*v["dt_run"], 0)
			return put{text, "kW", fmt.Sprintf("%s × 4180 × %s = %s", plain(v["qm"]), plain(v["dt_run"]), text)}
		},
		"v_main": func(v values) put {
			right := fixed(v["qv"]/60000/(3.14159265*0.0202*0.0202/4), 3)
			wrong := right[:3] + right[4:5] + right[3:4]
			return put{text: wrong, working: fmt.Sprintf("%s ÷ 60000 ÷ (π × 0.0202² ÷ 4) = %s", plain(v["qv"]), wrong)}
		},
		"interlock": word("pump runs on, then stops"),
		"told":      word("It was gravity, now it is pumped."),
		"why_last":  word("It is in the instructions."),
	}
}

// aicha writes a decimal comma, which may be thousands.
func aicha() map[string]line {
	comma := func(l line) line {
		return func(v values) put {
			p := l(v)
			whole, part := p.text[:len(p.text)-4], p.text[len(p.text)-3:]
			p.text = whole + "," + part
			return p
		}
	}
	find := func(slot string) line {
		for _, s := range pumped() {
			if s.slot == slot {
				return s.do
			}
		}
		return word("")
	}
	return map[string]line{
		"qm": comma(find("qm")), "vent_feed": word("165"),
		"told":     word("Before, hot water rose through the thick pipe on its own and the boiler never knew when to stop. Now the pump and the valve do the sharing, and the two thermostats together tell the boiler to stop."),
		"why_last": word("If the cylinder joined first, its return could run backwards through a radiator. You would notice on a summer evening that a radiator is warm at the bottom though the heating is off."),
	}
}

// tomasWired has the programmer's hot-water off wire missing from grey: the eight rows with hot water off show it.
func tomasWired() map[string]line {
	own := map[string]line{
		"insulation@as-left": word("OL"),
		"held":               word("Nothing moves the motor, because white is dead. It does not matter where it stands while nothing runs."),
		"grey_broken":        word("In the rows with the hot water off. That is what mine did: I think it is this fault, and I have left it as I found it for you to see."),
	}
	for row, valve := range map[string]string{
		"heating-alone": "mid (both)", "water-off": "B (hot water)", "all-off": "B (hot water)", "all-off-room-warm": "B (hot water)",
		"heating-alone-store-hot": "mid (both)", "water-off-store-hot": "B (hot water)", "all-off-store-hot": "B (hot water)", "all-off-all-warm": "B (hot water)",
	} {
		own["demands#"+row+"/grey"] = word("dead")
		own["demands#"+row+"/valve"] = word(valve)
		own["demands#"+row+"/plant"] = word("both off")
	}
	return own
}

// shot is a picture that an item asks for.
type shot struct {
	scene   picture.Scene
	caption string
	values  func(v values) []float64
}

// shots says what is photographed for an item, by brief and item.
func shots(brief int, item string) []shot {
	of := func(names ...string) func(values) []float64 {
		return func(v values) []float64 {
			var out []float64
			for _, n := range names {
				out = append(out, v[n])
			}
			return out
		}
	}
	switch order[brief] + "/" + item {
	case "fully-pumped/before":
		return []shot{{picture.RigBefore, "Whole rig before I started.", nil}, {picture.Coil, "Both coil connections, 28 mm.", nil}}
	case "fully-pumped/locked", "controls/lock":
		return []shot{{picture.Lock, "Locked off, my tag on it, carrier out.", nil}}
	case "fully-pumped/sketch":
		return []shot{{picture.Sketch, "Order along the flow, ports, sizes.", nil}}
	case "fully-pumped/joints":
		return []shot{{picture.Joints, "Tee to AB with both clips.", nil}}
	case "fully-pumped/arrangement":
		return []shot{{picture.Arrangement, "Tape between vent and feed; arrow towards the valve.", of("vent_feed")}}
	case "fully-pumped/dials":
		return []shot{{picture.Dials, "All three within the same minute.", of("qv", "tf", "tr")}}
	case "fully-pumped/after":
		return []shot{{picture.RigAfter, "From the same place as before.", nil}, {picture.PumpClose, "Pump and both isolating valves, labelled.", nil}}
	case "sealed-system/before":
		return []shot{{picture.RigAfter, "Open vented, as it stands.", nil}, {picture.Cistern, "Cistern, vent and feed.", nil}}
	case "sealed-system/cyl_old":
		return []shot{{picture.Coil, "Both coil connections, green where it weeps.", nil}}
	case "sealed-system/cyl_in":
		return []shot{{picture.RigAfter, "New cylinder in its place, on boards.", nil}}
	case "sealed-system/group":
		return []shot{{picture.Vessel, "Nothing between boiler and safety valve.", of("V_fitted")}}
	case "sealed-system/gauge_photo":
		return []shot{{picture.Gauge, "After thirty minutes.", of("p_end")}}
	case "sealed-system/loop_off":
		return []shot{{picture.Loop, "Hose off, both ends capped.", nil}}
	case "sealed-system/hot_gauge":
		return []shot{{picture.HotGauge, "Hot, gauge and flow together.", of("p_hot", "t_hot_f")}}
	case "controls/before":
		return []shot{{picture.CentreShut, "Cover on, five cables.", nil}, {picture.Spur, "The spur and its fuse.", nil}}
	case "controls/diagram":
		return []shot{{picture.Sheet, "My wiring sheet.", nil}}
	case "controls/open_dead":
		return []shot{{picture.CentreOpen, "Wired, dead, cover off.", nil}}
	case "controls/tester":
		return []shot{{picture.Tester, "At 250 V.", nil}}
	case "controls/running":
		return []shot{{picture.Lamps, "Row “both”: white and orange.", nil}}
	}
	return nil
}
