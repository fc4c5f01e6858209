"""Works and writes the example attempts at the brief fault-finding. What each has to be told stands in expected.yaml.

The grids come from the circuit itself: a call drives its valve open, an open valve's end switch starts pump and boiler.
"""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, fix

CHECKS = ("call_h", "valve_h", "call_w", "valve_w", "plant")
# row: heating on, room calls, hot water on, cylinder calls
ROWS = {
    "heating-alone": (1, 1, 0, 1), "heating-satisfied": (1, 0, 0, 1), "water-alone": (0, 1, 1, 1), "water-satisfied": (0, 1, 1, 0),
    "both": (1, 1, 1, 1), "both-satisfied": (1, 0, 1, 0), "water-beside-warm-room": (1, 0, 1, 1), "all-off": (0, 1, 0, 1),
}
# number on the fault box: the part that does not close or is off, and what it is called
CARDS = {
    1: ("cyl", "the cylinder thermostat's contact does not close"), 2: ("w-switch", "the hot-water valve's end switch does not close"),
    3: ("w-wire", "the hot-water valve's motor wire is off"), 4: ("room", "the room thermostat's contact does not close"),
    5: ("h-switch", "the heating valve's end switch does not close"), 6: ("h-wire", "the heating valve's motor wire is off"),
}


def circuit(broken=None):
    """What lamps, valves and plant show, row by row, with one part broken or none."""
    out = {}
    for key, (heating, room, water, store) in ROWS.items():
        call_h, call_w = heating and room and broken != "room", water and store and broken != "cyl"
        valve_h, valve_w = call_h and broken != "h-wire", call_w and broken != "w-wire"
        run = valve_h and broken != "h-switch" or valve_w and broken != "w-switch"
        lamp, lever = ("dead", "live"), ("shut", "open")
        out[key] = [lamp[bool(call_h)], lever[bool(valve_h)], lamp[bool(call_w)], lever[bool(valve_w)], "both run" if run else "both off"]
    return out


def attempt(about, trainee, card, L, P, done):
    """A whole attempt without a fault of the trainee's own: the rows that failed stand as earlier ones, with what was done since."""
    a = Attempt(about, trainee, {"card": card, "L_cable": f"{L} m", "P_motor": f"{P} W"})
    broken, name = CARDS[card]
    a.put("assessment", "yes")
    a.put("not_mine", "the registered tutor makes it live and measures live; I watch and write")
    a.put("complaint", "“One half works and the other does not.” I asked since when, and what was done that day.")
    a.grid("demands", CHECKS, circuit())
    for row, cells in circuit(broken).items():
        for check, seen, good in zip(CHECKS, cells, circuit()[row]):
            if seen != good:
                a.earlier(f"demands#{row}/{check}", seen, done)
    a.put("which", name)
    a.put("telling", "The row in which that zone calls alone; with both calling the other zone hides it.")
    a.done("isolation", "say off prove pairs switched prove-again", "10:02 10:04 10:06 10:07 10:09 10:10")
    loop = a.put("R_exp", fix(2 * 0.0176 * L, 3), "Ω", f"2 × 17.6 × {L} ÷ 1000 = {fix(2 * 0.0176 * L, 3)}")
    a.put("R_leads", "0.11")
    a.put("R_part@as-found", "OL")
    part = a.put("R_part@as-left", fix(loop + 0.14, 2))
    a.put("motor", fix(P / 230 * 1000, 1), "mA", f"{P} ÷ 230 × 1000 = {fix(P / 230 * 1000, 1)}")
    a.put("mend", done[0].upper() + done[1:] + ". Nothing else was moved.")
    a.put("R_net", fix(part - 0.11, 2))
    a.put("cpc", "0.18")
    a.put("ins_h", "120")
    a.put("ins_w", "48")
    a.put("ins_all", "34.3", working="1 ÷ (1 ÷ 120 + 1 ÷ 48) = 34.3")
    a.put("polarity", "right at every point")
    a.done("motion", "call open release shut", "14:02:00 14:02:21 14:07:40 14:08:05")
    a.put("retest", "all eight rows as they should be")
    a.put("told", "One small part no longer passed the message on. It is mended and nothing else was touched. Turn it up: within half a minute you hear it start.")
    a.put("handover", "yes")
    a.seen("R_part@as-left", "cpc", "ins_h", "ins_w")
    return a


def good(about="Careful work: the pattern, the cause, the mend, and the rows that failed done again with what was done in between.", trainee="FF-01"):
    return attempt(about, trainee, 1, 8.0, 6.5, "cylinder thermostat, wire at the call contact remade")


def careless():
    """The wrong part blamed, one way for there and back, insulation added up, rows done again without a word why."""
    a = attempt("Skilled hands in a hurry: lamp not looked at, the loop once, insulation added up, rows done again without a word.", "FF-02", 4, 11.5, 7.0, "room thermostat, contact changed")
    a.before = [(slot, text, None) for slot, text, _ in a.before]
    a.put("which", CARDS[6][1])
    a.put("R_exp", fix(0.0176 * 11.5, 3), "Ω", f"17.6 × 11.5 ÷ 1000 = {fix(0.0176 * 11.5, 3)}")
    a.put("motor", fix(230 / 7, 1), "A", f"230 ÷ 7 = {fix(230 / 7, 1)}")
    part = float(a.entries["R_part@as-left"]["text"])
    a.put("R_net", fix(part + 0.11, 2))
    a.put("ins_all", "168", working="120 + 48 = 168")
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, pattern and figures to the digit, under this trainee's own number and cable.", "FF-03")
    a.given = {"card": 3, "L_cable": "16.0 m", "P_motor": "8.5 W"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not.", "FF-04", 5, 9.0, 6.0, "heating valve, contact block of the end switch changed like for like")
    e = a.entries
    a.put("R_exp", e["R_exp"]["text"], "mΩ", e["R_exp"]["working"])
    a.put("R_leads", "0.11 kΩ")
    a.put("R_part@as-left", fix(float(e["R_part@as-left"]["text"]) * 1000, 0), "mΩ")  # right
    a.put("motor", e["motor"]["text"], "A", e["motor"]["working"])
    a.put("cpc", "180 mΩ")  # right
    a.put("ins_h", "120 kΩ")
    return a


def unsafe_order():
    a = attempt("Opened live for a quick look, tested before the tester was proved, the fault left in, polarity crossed.", "FF-05", 2, 13.0, 8.0, "nothing")
    a.before = []
    a.grid("demands", CHECKS, circuit("w-switch"))
    a.put("not_mine", "I may lift a cover for a quick look while it is live")
    a.done("isolation", "say off prove pairs switched prove-again", "10:02 10:04 10:12 10:07 10:19 10:20")
    a.put("R_part@as-left", "OL")
    a.put("polarity", "crossed at one point")
    a.drop("R_net", "handover")
    a.done("motion", "call open release shut", "14:02:04 14:03:40 14:09:10 14:09:30")
    a.put("retest", "the fault is still there")
    return a


def half_done():
    a = attempt("Pattern taken and the bay made dead; nothing is mended.", "FF-06", 6, 7.5, 5.5, "nothing")
    a.before = []
    a.grid("demands", CHECKS, circuit("h-wire"))
    e = a.entries["R_exp"]
    a.put("R_exp", e["text"], working=e["working"])  # the unit is asked for and left out
    a.drop("R_part@as-left", "mend", "R_net", "cpc", "ins_h", "ins_w", "ins_all", "polarity", "motion", "retest", "told", "handover")
    a.checks.clear()
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
