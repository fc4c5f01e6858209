"""Works and writes the example attempts at the brief controls. What each has to be told stands in expected.yaml.

The grid comes from the circuit itself: a valve that goes home with white and grey dead, to mid with white, to A with both, and
stays where it is with grey alone; orange live at A alone; the cylinder's call feeds boiler and pump directly.
"""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, fix

CHECKS = ("white", "grey", "valve", "plant")
# row: hot water on, cylinder calls, heating on, room calls
ROWS = {
    "both": (1, 1, 1, 1), "room-satisfied": (1, 1, 1, 0), "water-alone": (1, 1, 0, 1), "water-alone-room-warm": (1, 1, 0, 0),
    "hw-satisfied": (1, 0, 1, 1), "all-satisfied": (1, 0, 1, 0), "store-hot-heating-off": (1, 0, 0, 1), "store-hot-room-warm": (1, 0, 0, 0),
    "heating-alone": (0, 1, 1, 1), "water-off": (0, 1, 1, 0), "all-off": (0, 1, 0, 1), "all-off-room-warm": (0, 1, 0, 0),
    "heating-alone-store-hot": (0, 0, 1, 1), "water-off-store-hot": (0, 0, 1, 0), "all-off-store-hot": (0, 0, 0, 1), "all-off-all-warm": (0, 0, 0, 0),
}


def circuit(satisfied_wire=True):
    """What the lamps, the valve and the plant show, row by row; without the wire from the satisfied contact where that is missing."""
    out = {}
    for key, (water, store, heating, room) in ROWS.items():
        white = heating and room
        grey = not water or (water and not store and satisfied_wire)
        valve = {(0, 0): "B (hot water)", (1, 0): "mid (both)", (1, 1): "A (heating)", (0, 1): "held at last position"}[int(white), int(grey)]
        run = water and store or white and grey
        out[key] = ["live" if white else "dead", "live" if grey else "dead", valve, "both run" if run else "both off"]
    return out


def attempt(about, trainee, L, board, frost):
    """A whole attempt without a fault: cable in m, board and frost heater in W."""
    a = Attempt(about, trainee, {"L_cable": f"{L} m", "P_board": f"{board} W", "P_frost": f"{frost} W"})
    a.put("assessment", "yes")
    a.done("isolation", "say off prove line-neutral line-earth neutral-earth others prove-again", "09:12 09:14 09:16 09:17 09:17 09:18 09:20 09:21")
    a.put("not_mine", "The lock comes off with the registered tutor, who alone measures at live terminals. If something is not dead: hands off, cover back, call.")
    a.put("ins_found@as-found", "42")
    a.put("tug", "all held")
    a.done("nulled", "range null open", "10:50 10:51 10:51")
    a.put("cpc", fix(0.0296 * L * 0.6 + 0.01, 2))
    R = a.put("R12_calc", fix(29.6 * L / 1000, 3), "Ω", f"29.6 × {L} ÷ 1000 = {fix(29.6 * L / 1000, 3)}")
    a.put("R12", fix(R + 0.02, 2))
    a.put("insulation@as-left", ">999")
    a.put("polarity", "right at every point")
    I = a.put("I_load", fix((57 + board + frost) / 230, 2), "A", f"(45 + 12 + {board} + {frost}) ÷ 230 = {fix((57 + board + frost) / 230, 2)}")
    a.put("fuse", "3 A" if I <= 3 else "5 A")
    a.put("U_m", "237")
    a.grid("demands", CHECKS, circuit())
    a.done("travel", "call arrive stop", "13:40:10 13:40:31 13:42:05")
    a.put("I_m", fix(I * 237 / 230 * 0.97, 2))
    a.put("held", "White is dead and grey is live: nothing drives the motor and nothing lets it go. Orange is dead too, so nothing runs.")
    a.put("grey_broken", "In the eight rows with hot water off. No heating unless the hot water is on.")
    a.put("handover", "yes")
    a.seen("cpc", "R12", "insulation@as-left", "U_m", "I_m")
    return a


def good(about="Careful work: every line right, every safety-critical reading seen.", trainee="CT-01"):
    return attempt(about, trainee, 11.0, 50, 550)


def careless():
    """Milliohms for ohms, the frost heater forgotten, and a wire left out that the grid shows."""
    a = attempt("Skilled hands in a hurry: milliohms for ohms, the heater forgotten, one wire left out, one cell put down wrong.", "CT-02", 16.5, 65, 800)
    a.put("R12_calc", fix(29.6 * 16.5, 0), "Ω", f"29.6 × 16.5 = {fix(29.6 * 16.5, 0)}")
    a.put("tug", "one came out, remade, all held")
    a.put("I_load", fix(122 / 230, 2), "A", f"(45 + 12 + 65) ÷ 230 = {fix(122 / 230, 2)}")
    a.put("fuse", "3 A")  # as that figure has it: the true load asks for 5 A
    a.grid("demands", CHECKS, circuit(satisfied_wire=False))
    a.put("demands#water-alone/plant", "pump alone")
    a.put("demands#water-off/valve", "A (heating)")  # where the row before left it: the same as held
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "CT-03")
    a.given = {"L_cable": "18.5 m", "P_board": "70 W", "P_frost": "800 W"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not.", "CT-04", 9.5, 60, 500)
    e = a.entries
    a.put("ins_found@as-found", "42", "Ω")
    a.put("cpc", fix(float(e["cpc"]["text"]) * 1000, 0), "mΩ")  # right
    a.put("R12_calc", e["R12_calc"]["text"], "mΩ", e["R12_calc"]["working"])
    a.put("insulation@as-left", "450 kΩ")  # megohms on the display
    a.put("I_load", e["I_load"]["text"], "W", e["I_load"]["working"])
    a.put("U_m", "0.237 kV")  # right
    a.put("I_m", fix(float(e["I_m"]["text"]) * 1000, 0) + " mA")  # right
    return a


def unsafe_order():
    a = attempt("Tested before the tester was proved and before the fuse was out, insulation before continuity, crossed polarity made live.", "CT-05", 13.0, 45, 600)
    a.done("isolation", "say prove line-neutral line-earth neutral-earth others prove-again off", "09:12 09:16 09:14 09:15 09:15 09:16 09:24 09:30")
    a.drop("assessment", "nulled", "cpc")
    del a.checks["cpc"]
    a.put("polarity", "crossed at one point")
    a.put("fuse", "13 A")
    a.put("U_m", "258")
    return a


def half_done():
    a = attempt("Wired and half tested; nothing was made live.", "CT-06", 15.0, 75, 450)
    e = a.entries["R12_calc"]
    a.put("R12_calc", e["text"], working=e["working"])  # the unit is asked for and left out
    a.drop("insulation", "polarity", "U_m", "demands", "travel", "I_m", "held", "grey_broken", "handover")
    for slot in ("insulation@as-left", "U_m", "I_m"):
        del a.checks[slot]
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
