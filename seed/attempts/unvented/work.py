"""Works and writes the example attempts at the brief unvented. What each has to be told stands in expected.yaml."""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, cp, fix, rho

WHOSE = "I fit and measure; a tutor approved for unvented work releases and stands beside me"
ORDER = "stop valve, strainer, reducing valve, check valve, vessel, expansion valve, store"
LEFT = "in use, covers on, tundish dry, label and log filled in"
AGREE = "they agree as well as this can be timed"
LONGEST, BEND = {22: 8, 28: 17}, {22: 0.9, 28: 1.1}  # the demonstration's rule set
ROWS = {"calling": ("open", "fires"), "satisfied": ("shut", "stands"), "tripped": ("shut", "stands"), "both": ("shut", "stands")}
SEEN = ["p_charge@as-left", "d1", "d2_drop", "d2_fall", "p_after", "p_flow", "t_cut", "t_store@as-left", "t_mixed@as-left", "t_took"]


def attempt(about, trainee, V, P, cold, q, Q, L, n, took):
    """A whole attempt without a fault: V in L, P in kW, cold in °C, q in L/min, Q in kWh/d, L in m, took as typed."""
    a = Attempt(about, trainee, {"V_store": f"{V} L", "P_coil": f"{P} kW", "t_cold": f"{cold} °C", "q_tap": f"{q} L/min", "Q_loss": f"{Q} kWh/d",
                                 "L_D2": f"{L} m", "n_D2": f'"{n}"'})
    a.put("assessment", "yes")
    a.put("whose", WHOSE)
    a.done("isolated", "switch prove water cold", "08:10 08:13 08:16 08:20")
    reckoned(a, V, P, cold, q, Q)
    for size in (22, 28):
        a.put(f"L_eq{size}", fix(L + n * BEND[size], 1), working=f"{L} + {n} × {BEND[size]} = {fix(L + n * BEND[size], 1)}")
    a.put("D2", f"{next(s for s in (22, 28) if L + n * BEND[s] <= LONGEST[s])} mm")
    a.put("order", ORDER)
    a.put("p_charge@as-found", "3.50")
    for slot, text in {"p_charge@as-left": "3.00", "d1": "380", "d2_drop": "420", "d2_fall": "12"}.items():
        a.put(slot, text)
    a.put("outlet", "low over a gully, in view, nobody can be scalded")
    a.done("filling", "flush fill strainer stand tissue", "10:00 10:06 10:14 10:26 10:30")
    a.put("p_after", "3.0")
    a.put("p_flow", "2.1")
    a.put("dry", "all dry")
    a.put("expansion_valve", "opens, runs to the tundish, shuts tight")
    a.put("tp_valve", "full flow, all of it down the tundish, shuts tight")
    a.grid("guards", ["valve", "heat"], ROWS)
    a.put("reset", "only by hand, after it has cooled")
    for slot, text in {"t_cut": "80.5", "t_store@as-found": "68.0", "t_store@as-left": "62.0", "t_mixed@as-left": "41.5", "t_took": took}.items():
        a.put(slot, text)
    a.put("fail_safe", "the flow stops at once")
    a.put("time_says", AGREE)
    a.put("left", LEFT)
    a.put("tundish_runs", "Heater off at the wall, leave the water on, keep away from the pipe, call an approved person. Never plug it.")
    a.put("why_metal", "The water flashes to steam and needs room; a thin level pipe chokes it and it comes back out of the tundish. Plastic softens.")
    a.put("handed", "yes")
    a.seen(*SEEN)
    return a


def heat_in(V, cold):
    mean = (cold + 60) / 2
    return V / 1000 * rho(mean) * cp(mean) * (60 - cold) / 3600


def reckoned(a, V, P, cold, q, Q):
    """Heat, loss, mixing and the water's growth."""
    mean, rise = (cold + 60) / 2, 60 - cold
    litre = fix(rho(mean) / 1000, 3)
    E = heat_in(V, cold)
    a.put("E_store", fix(E, 1), "kWh", f"{V} × {litre} × 4.18 × {rise} ÷ 3600 = {fix(E, 1)}")
    a.put("t_heat", fix(round(E, 2) * 60 / P, 1), working=f"{fix(E, 2)} × 60 ÷ {P} = {fix(round(E, 2) * 60 / P, 1)}")
    a.put("loss_now", fix(Q * 1000 / 24 * 40 / 45, 1), working=f"{Q} × 1000 ÷ 24 × 40 ÷ 45 = {fix(Q * 1000 / 24 * 40 / 45, 1)}")
    a.put("q_hot", fix(q * (41 - cold) / rise, 2), "L/min", f"{q} × (41 − {cold}) ÷ (60 − {cold}) = {fix(q * (41 - cold) / rise, 2)}")
    a.put("V_mix", fix(0.85 * V * rise / (41 - cold), 0), working=f"0.85 × {V} × {rise} ÷ {41 - cold} = {fix(0.85 * V * rise / (41 - cold), 0)}")
    cool, warm = round(rho(cold), 2), round(rho(60), 2)
    grow = fix(V * (cool / warm - 1), 2)
    held(a, a.put("V_grow", grow, "L", f"{V} × ({cool} ÷ {warm} − 1) = {grow}"))


def held(a, grow):
    """The vessel from the growth that is on the sheet."""
    least = a.put("V_least", fix(grow / (1 - 4 / 6.5), 2), working=f"{grow} ÷ (1 − 4.0 ÷ 6.5) = {fix(grow / (1 - 4 / 6.5), 2)}")
    a.put("vessel_size", next(s for s in ("8", "12", "18", "24") if float(s) >= least) + " L")


def good(about="Careful work: every line right, every safety-critical reading seen.", trainee="UV-01"):
    return attempt(about, trainee, 200, 18.0, 11, 8.0, 1.5, 5.5, 3, "41")


def careless():
    """The rise from nought, the loss at 45 K, cold for hot, a flat 4 %, the discharge without its bends; the cut-out bridged."""
    a = attempt("Skilled hands in a hurry: five slips in the figures, the store too hot, and a cut-out that was never wired in.",
                "UV-02", 170, 14.0, 9, 10.0, 1.4, 7.0, 5, "46")
    E = heat_in(170, 9) * 60 / 51
    a.put("E_store", fix(E, 1), "kWh", f"170 × {fix(rho(34.5) / 1000, 3)} × 4.18 × 60 ÷ 3600 = {fix(E, 1)}")
    a.put("loss_now", "58.3", working="1.4 × 1000 ÷ 24 = 58.3")
    a.put("q_hot", "3.73", "L/min", "10.0 × (60 − 41) ÷ (60 − 9) = 3.73")
    a.put("V_grow", "6.80", "L", "170 × 4 ÷ 100 = 6.80")
    held(a, 6.8)
    a.put("D2", "22 mm")
    a.put("guards#tripped/valve", "open")
    a.put("guards#tripped/heat", "fires")
    a.put("t_store@as-left", "66.5")
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "UV-03")
    a.given = {"V_store": "240 L", "P_coil": "13.0 kW", "t_cold": "8 °C", "q_tap": "11.5 L/min", "Q_loss": "1.9 kWh/d", "L_D2": "8.5 m", "n_D2": '"6"'}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "UV-04", 160, 12.0, 12, 7.5, 1.3, 4.5, 2, "0.8 h")
    e = a.entries
    a.put("E_store", e["E_store"]["text"], "kW", e["E_store"]["working"])
    a.put("t_heat", fix(float(e["t_heat"]["text"]) / 60, 3) + " h")
    a.put("loss_now", e["loss_now"]["text"] + " kW", working=e["loss_now"]["working"])
    a.put("q_hot", e["q_hot"]["text"], working=e["q_hot"]["working"])
    a.put("V_grow", e["V_grow"]["text"], "mL", e["V_grow"]["working"])
    a.put("L_eq22", fix(float(e["L_eq22"]["text"]) * 1000, 0) + " mm")
    a.put("p_after", "300 kPa")
    a.put("d1", "38")  # centimetres where millimetres are printed
    a.put("d2_drop", "0.42")  # metres
    a.put("d2_fall", "1.2 %")
    a.put("t_store@as-left", "143.6 °F")
    a.put("t_mixed@as-left", "314 K")
    return a


def unsafe_order():
    a = attempt("Drained before it was proved dead, filled with a joint weeping, a discharge over the path, guards that nobody saw.",
                "UV-05", 190, 16.0, 10, 8.5, 1.7, 5.0, 5, "44")
    a.put("whose", "I may fill it once it is tight")
    a.done("isolated", "switch prove water cold", "08:10 08:18 08:12 08:20")
    a.put("order", "stop valve, check valve, expansion valve, reducing valve, vessel, store")
    a.put("outlet", "at head height over a path")
    a.done("filling", "flush fill strainer stand tissue", "10:00 10:06 10:14 10:18 10:20")
    a.put("dry", "a joint weeps")
    a.put("tp_valve", "the tundish runs over")
    a.put("reset", "by itself when it cools")
    a.put("t_cut", "58.0")
    a.put("fail_safe", "it runs on, hot")
    for slot in ("p_charge@as-left", "p_flow"):
        del a.checks[slot]
    return a


def half_done():
    a = attempt("Home with the group half on: worked out, the vessel not charged, nothing filled.", "UV-06", 210, 20.0, 13, 9.5, 1.8, 4.0, 3, "36")
    E = a.entries["E_store"]
    a.put("E_store", E["text"], working=E["working"])  # the unit is asked for and left out
    a.drop("V_mix", "p_charge@as-left", "d2_drop", "d2_fall", "outlet", "filling", "p_after", "p_flow", "dry", "expansion_valve", "tp_valve", "guards", "reset",
           "t_cut", "t_store", "t_mixed", "fail_safe", "t_took", "time_says", "left", "tundish_runs", "why_metal", "handed")
    a.checks = {"d1": None}
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
