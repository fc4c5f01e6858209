"""Works and writes the example attempts at the brief combustion. What each has to be told stands in expected.yaml."""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, fix

WHOSE = "I measure and reckon; the registered tutor sets the valve and lights it"
OFF = "off at once, gas shut and labelled until the registered tutor has found out why"
SET = "it may run, and the registered tutor sets the valve"
STATE = "running, sampling point closed and tried, seal on, alarm in place"
FOOT = 0.3048 ** 3  # m³
SEEN = ["O2_air", "CO_air", "CO_room", "CO_found@as-found", "CO2_found@as-found", "CO_full@as-left", "CO2_full@as-left", "O2_full@as-left",
        "t_flue@as-left", "t_air@as-left", "CO_low@as-left", "CO2_low_rate@as-left", "t_dial"]


def attempt(about, trainee, plate, feet, found, full, low, dial):
    """A whole attempt without a fault: plate in kW net, feet in ft³; found CO and CO₂; full CO, CO₂, O₂, flue and air; low CO and CO₂."""
    a = Attempt(about, trainee, {"P_plate": f"{plate} kW net", "V_dial": f"{feet} ft³"})
    a.put("assessment", "yes")
    a.put("whose", WHOSE)
    a.put("flue", "complete, sealed and clear")
    a.done("fresh", "whole on zero read leak", "08:40 08:42 08:46 08:47 08:48")
    a.put("O2_air", "20.9")
    a.put("CO_air", "0")
    a.put("CO_room", "1")
    co, co2 = a.put("CO_found@as-found", found[0]), a.put("CO2_found@as-found", found[1])
    r = co / co2 / 10000
    a.put("r_found", fix(r, 4), working=f"{found[0]} ÷ ({found[1]} × 10000) = {fix(r, 4)}")
    a.put("verdict", OFF if r > 0.0035 else SET if not 8.7 <= co2 <= 9.5 else "nothing to set")
    a.done("steady", "full full-read low low-read close", "10:10 10:17 10:19 10:26 10:30")
    for slot, text in zip(("CO_full", "CO2_full", "O2_full", "t_flue", "t_air"), full):
        a.put(slot + "@as-left", text)
    for slot, text in zip(("CO_low", "CO2_low_rate"), low):
        a.put(slot + "@as-left", text)
    a.put("r_full", fix(float(full[0]) / float(full[1]) / 10000, 4), working=f"{full[0]} ÷ ({full[1]} × 10000) = {fix(float(full[0]) / float(full[1]) / 10000, 4)}")
    a.put("r_low", fix(float(low[0]) / float(low[1]) / 10000, 4))
    burnt(a, float(full[2]), float(full[3]), float(full[4]))
    metered(a, plate, feet, dial)
    a.put("state", STATE)
    a.put("why_fresh", "The bad air becomes its nothing: the room reads clean and the flue too low by as much.")
    a.put("told", "It burned with too little air and was shut off; a registered person set it. If the alarm sounds: gas off, out, call.")
    a.put("handed", "yes")
    a.seen(*SEEN)
    return a


def burnt(a, o2, flue, air):
    """What follows from the oxygen and the two temperatures."""
    a.put("CO2_calc", fix(11.8 * (20.9 - o2) / 20.9, 1), working=f"11.8 × (20.9 − {o2}) ÷ 20.9 = {fix(11.8 * (20.9 - o2) / 20.9, 1)}")
    a.put("air", fix(20.9 / (20.9 - o2), 2), working=f"20.9 ÷ (20.9 − {o2}) = {fix(20.9 / (20.9 - o2), 2)}")
    loss = (flue - air) * (0.66 / (21 - o2) + 0.009)
    efficient(a, a.put("loss", fix(loss, 2), working=f"({flue} − {air}) × (0.66 ÷ (21 − {o2}) + 0.009) = {fix(loss, 2)}"))


def efficient(a, loss):
    """Both efficiencies from the loss that is on the sheet."""
    eta = a.put("eta_net", fix(100 - loss, 2))
    a.put("eta_gross", fix(eta / 1.11, 1), "% gross", f"{fix(100 - loss, 2)} ÷ 1.11 = {fix(eta / 1.11, 1)}")


def metered(a, plate, feet, dial):
    """Gas rate and heat input from the dial and the clock."""
    a.put("t_dial", dial)
    rate = a.put("Q_m", fix(feet * FOOT / float(dial) * 3600, 2), "m³/h", f"{feet} × 0.0283168 ÷ {dial} × 3600 = {fix(feet * FOOT / float(dial) * 3600, 2)}")
    gross = a.put("heat_gross", fix(rate * 39.2 / 3.6, 1), working=f"{rate} × 39.2 ÷ 3.6 = {fix(rate * 39.2 / 3.6, 1)}")
    net = a.put("heat_net", fix(gross / 1.11, 1), working=f"{gross} ÷ 1.11 = {fix(gross / 1.11, 1)}")
    a.put("share", fix(net / plate * 100, 1))


def good(about="Careful work: every line right, every safety-critical reading seen, the boiler shut off as found.", trainee="CO-01"):
    return attempt(about, trainee, 24.0, 2.0, ("540", "10.2"), ("92", "9.2", "4.6", "63.0", "18.5"), ("26", "8.9"), "84.0")


def careless():
    """ppm over per cent, the air left out of the loss, the excess for the whole, cubic feet for cubic metres, gross over net."""
    a = attempt("Skilled hands in a hurry: the boiler left running on its CO₂ alone, and units that were not looked at.",
                "CO-02", 20.0, 2.0, ("465", "10.3"), ("95", "9.0", "5.0", "60.5", "20.0"), ("30", "8.7"), "100.2")
    a.put("verdict", SET)
    a.put("r_full", "10.56", working="95 ÷ 9.0 = 10.56")
    a.put("air", "0.31", working="5.0 ÷ (20.9 − 5.0) = 0.31")
    a.put("loss", "3.04", working="60.5 × (0.66 ÷ (21 − 5.0) + 0.009) = 3.04")
    efficient(a, 3.04)
    a.put("Q_m", "71.9", "m³/h", "2 ÷ 100.2 × 3600 = 71.9")
    gross = float(a.entries["heat_gross"]["text"])
    a.put("share", fix(gross / 20 * 100, 0))
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "CO-03")
    a.given = {"P_plate": "19.0 kW net", "V_dial": "3.0 ft³"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "CO-04", 22.0, 3.0, ("612", "10.4"), ("84", "9.1", "4.8", "62.4", "19.2"), ("21", "8.8"), "137.0")
    e = a.entries
    a.put("r_found", "0.59 %", working=e["r_found"]["working"])
    a.put("CO_full@as-left", "0.0084 %")
    a.put("t_flue@as-left", "144.3 °F")
    a.put("CO_low@as-left", "21 %")
    a.put("CO2_calc", fix(float(e["CO2_calc"]["text"]) / 100, 3), working=e["CO2_calc"]["working"])
    a.put("air", e["air"]["text"] + " %", working=e["air"]["working"])
    a.put("eta_gross", e["eta_gross"]["text"], "% net", e["eta_gross"]["working"])
    a.put("t_dial", "2.2833 min")
    a.put("Q_m", e["Q_m"]["text"], "L/s", e["Q_m"]["working"])
    a.put("heat_gross", e["heat_gross"]["text"] + " kW net", working=e["heat_gross"]["working"])
    return a


def unsafe_order():
    a = attempt("Zeroed beside the boiler, the terminal never looked at, sampled before it was steady, readings that nobody saw.",
                "CO-05", 21.0, 2.0, ("430", "10.0"), ("110", "9.3", "4.4", "66.0", "21.5"), ("34", "9.0"), "95.2")
    a.put("whose", "I set the valve if I put back what it was")
    a.put("flue", "the terminal is blocked or too near a window")
    a.done("fresh", "whole on zero read leak", "08:40 08:42 08:50 08:44 08:52")
    a.put("O2_air", "20.4")
    a.put("CO_air", "6")
    a.put("CO_room", "9")
    a.put("verdict", SET)
    a.done("steady", "full full-read low low-read close", "10:10 10:12 10:13 10:20 10:22")
    for slot in ("CO_full@as-left", "t_dial"):
        del a.checks[slot]
    return a


def half_done():
    a = attempt("Home when the boiler was shut off: as found measured, nothing said of what follows, nothing set.",
                "CO-06", 25.0, 4.0, ("702", "10.7"), ("80", "9.1", "4.8", "61.0", "19.0"), ("20", "8.8"), "160.0")
    a.drop("CO_room", "verdict", "steady", "CO_full", "CO2_full", "O2_full", "t_flue", "t_air", "CO_low", "CO2_low_rate", "r_full", "r_low", "CO2_calc", "air",
           "loss", "eta_net", "eta_gross", "t_dial", "Q_m", "heat_gross", "heat_net", "share", "state", "why_fresh", "told", "handed")
    a.checks = {slot: None for slot in ("O2_air", "CO_air", "CO_found@as-found", "CO2_found@as-found")}
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
