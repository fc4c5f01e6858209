"""Works and writes the example attempts at the brief low-temperature. What each has to be told stands in expected.yaml."""
import math
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, cp, fix, rho

SHUT = "the refrigerant circuit stays shut; if it hisses: off from afar, people away, the registered person fetched"
AROUND = "no drain, cellar opening or source of sparks within two metres, and air can pass"
GRAVEL = "condensate and defrost water run off into gravel, the path is dry"
LEFT = "running by the curve, covers on, loop off, settings on the card"
EXPECTED = [(-7, 2.1), (-2, 2.5), (2, 2.9), (7, 3.5), (12, 4.1), (20, 4.9)]  # the demonstration's rule set
BUFFERS, WATER = [15, 25, 35, 60, 100], 9
DIAL = [6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 20]
SEEN = ["frost", "p_cold", "t_f@as-left", "tset_left@as-left"]
GIVEN = ["P_1", "P_2", "rated_1", "rated_2", "t_df", "t_dr", "P_house", "V_open", "t_x", "Q_jan", "E_jan", "Q_apr", "E_apr"]
UNITS = ["W", "W", "W", "W", "°C", "°C", "kW", "L", "°C", "kWh", "kWh", "kWh", "kWh"]


def expected(t):
    for (a, x), (b, y) in zip(EXPECTED, EXPECTED[1:]):
        if a <= t <= b:
            return x + (t - a) / (b - a) * (y - x)
    raise ValueError(t)


def rooms(a, g):
    """The radiators at the planned flow, each figure from those on the sheet before it."""
    f, r = g["t_df"], g["t_dr"]
    ex = a.put("excess", fix((f + r) / 2 - 20, 1), "K", f"({f} + {r}) ÷ 2 − 20 = {fix((f + r) / 2 - 20, 1)}")
    k = fix((ex / 50) ** 1.3 * 100, 1)
    a.put("factor", k, working=f"({ex} ÷ 50)^1.3 × 100 = {k}")
    given_off(a, g)
    x = fix(50 * (g["P_1"] / g["rated_1"]) ** (1 / 1.3), 1)
    a.put("excess_1", x, working=f"50 × ({g['P_1']} ÷ {g['rated_1']})^(1 ÷ 1.3) = {x}")
    a.put("tf_1", fix(20 + float(x) + (f - r) / 2, 1), working=f"20 + {x} + ({f} − {r}) ÷ 2 = {fix(20 + float(x) + (f - r) / 2, 1)}")


def given_off(a, g):
    k = a.entries["factor"]["text"]
    one, two = (fix(g[name] * float(k) / 100, 0) for name in ("rated_1", "rated_2"))
    a.put("out_1", one, "W", f"{g['rated_1']} × {k} ÷ 100 = {one}")
    a.put("out_2", two, working=f"{g['rated_2']} × {k} ÷ 100 = {two}")
    one, two = float(one) >= g["P_1"], float(two) >= g["P_2"]
    a.put("which", "neither" if one and two else "room 1's" if two else "room 2's" if one else "both")


def unit(a, g):
    """Flow, water, buffer, curve and season."""
    f, r, P = g["t_df"], g["t_dr"], g["P_house"]
    d, c = rho(r), cp((f + r) / 2)
    q = fix(P / (d / 1000 * c * (f - r)) * 60, 2)
    a.put("q_need", q, "L/min", f"{P} ÷ ({fix(d / 1000, 4)} × {fix(c, 3)} × ({f} − {r})) × 60 = {q}")
    a.put("dial", f"{next(s for s in DIAL if s >= float(q))} L/min")
    V = a.put("V_least", str(6 * WATER), "L", f"6.0 × 9 = {6 * WATER}")
    a.put("buffer", f"{next(b for b in BUFFERS if b >= V - g['V_open'])} L")
    s = a.put("slope", fix((f - 25) / 23, 3), working=f"({f} − 25) ÷ (17 + 6) = {fix((f - 25) / 23, 3)}")
    a.put("t_curve", fix(25 + s * (17 - g["t_x"]), 1), working=f"25 + {s} × (17 − {g['t_x']}) = {fix(25 + s * (17 - g['t_x']), 1)}")
    Q, E = (g["Q_jan"], g["Q_apr"]), (g["E_jan"], g["E_apr"])
    a.put("spf", fix(sum(Q) / sum(E), 2), working=f"({Q[0]} + {Q[1]}) ÷ ({E[0]} + {E[1]}) = {fix(sum(Q) / sum(E), 2)}")


def measured(a, f, r, q, air, start, end, minutes):
    """The run: temperatures, flow three times, meter and time as typed."""
    for slot, text in {"t_f@as-left": f, "t_r@as-left": r, "t_air": air, "E_start": start, "E_end": end, "time": minutes}.items():
        a.put(slot, text)
    for i, x in enumerate(q):
        a.put(f"q#{i + 1}@as-left", x)
    mean, dt = float(fix(sum(float(x) for x in q) / 3, 2)), float(f) - float(r)
    a.put("spread", fix(dt, 1))
    a.put("share", fix(mean / float(a.entries["q_need"]["text"]) * 100, 1))
    d, c = rho(float(r)), cp((float(f) + float(r)) / 2)
    H = a.put("heat", fix(mean / 60 * d / 1000 * c * dt, 2), "kW", f"{mean} ÷ 60 × {fix(d / 1000, 4)} × {fix(c, 3)} × ({f} − {r}) = {fix(mean / 60 * d / 1000 * c * dt, 2)}")
    P = a.put("P_el", fix((float(end) - float(start)) / float(minutes) * 60, 3), "kW", f"({end} − {start}) ÷ {minutes} × 60 = {fix((float(end) - float(start)) / float(minutes) * 60, 3)}")
    judged(a, H, P, dt, float(f), float(air))


def judged(a, H, P, dt, f, air):
    k = a.put("cop_m", fix(H / P, 2), working=f"{H} ÷ {P} = {fix(H / P, 2)}")
    u = fix(200 * math.sqrt(0.01 ** 2 + 2 * (0.1 / dt) ** 2 + 0.005 ** 2), 1)
    a.put("u_cop", u, working=f"2 × sqrt(1.0^2 + 2 × (0.1 ÷ {fix(dt, 1)} × 100)^2 + 0.5^2) = {u}")
    top = fix((f + 273.15) / (f - air), 2)
    a.put("ceiling", top, working=f"({f} + 273.15) ÷ ({f} − {air}) = {top}")
    a.put("good_enough", "as expected or better" if k * (1 + float(u) / 100) >= 0.9 * expected(air) else
          "less than expected, by more than the measurement can explain: look at flow, exchanger, curve; then the registered person")


def attempt(about, trainee, given, found, frost, p, run, setting):
    """A whole attempt without a fault: the givens as numbers in the order of GIVEN, readings as typed."""
    g = dict(zip(GIVEN, given))
    a = Attempt(about, trainee, {name: f"{g[name]} {u}" for name, u in zip(GIVEN, UNITS)})
    a.put("assessment", "yes")
    a.put("whose", SHUT)
    a.put("around", AROUND)
    a.put("tset_found@as-found", found[0])
    a.put("q_found@as-found", found[1])
    a.done("off", "stop first second prove pairs prove-again", "09:10 09:16 09:18 09:20 09:23 09:25")
    rooms(a, g)
    unit(a, g)
    a.put("frost", frost)
    a.done("filled", "slow off-loop dry", "10:40 10:52 11:02")
    a.put("p_cold", p)
    a.put("drain", GRAVEL)
    a.done("course", "locks steady start between end", "11:10 11:42 11:45 11:55 12:06")
    measured(a, *run)
    a.put("tset_left@as-left", setting)
    a.put("curve_ok", "within a kelvin")
    a.put("left", LEFT)
    e = a.entries
    a.put("card", f"Steepness {e['slope']['text']}, foot 25 °C at 17 °C outside; {e['q_need']['text']} L/min; coefficient {e['cop_m']['text']} at {run[3]} °C outside. Radiator to be changed: {e['which']['text']}. "
                  "Leave the radiators open, turn the curve down a little if it is too warm, keep leaves off the grille. No covers, no refrigerant; if it hisses or smells go away and call.")
    a.put("why_low", "The smaller the step from the outside air to the flow, the less electricity for the same heat, and a large radiator gives its heat at a low flow. A fire does not mind.")
    a.seen(*SEEN)
    return a


def good(about="Careful work: every line right, one radiator found too small, every safety-critical reading seen.", trainee="LT-01"):
    return attempt(about, trainee, (620, 1050, 2100, 2500, 46, 39, 4.9, 30, 6, 1040, 400, 380, 90), ("55.0", "6.4"), "-17", "1.3",
                   ("37.6", "32.4", ("10.2", "10.1", "10.1"), "5.8", "2214.380", "2214.736", "20.5"), "35.0")


def careless():
    """No exponent, 20 K as for a boiler, frost taken for warmth, months averaged; kilowatt-hours for kilowatts."""
    a = attempt("Knows boilers: no exponent, twenty kelvins, a frost that warms, the months averaged, kilowatt-hours for kilowatts.", "LT-02",
                (700, 1150, 2000, 3000, 45, 38, 5.2, 26, 3, 1120, 440, 360, 80), ("55.0", "5.9"), "-15", "1.2",
                ("46.2", "39.8", ("10.8", "10.7", "10.7"), "3.1", "3120.115", "3120.716", "21.0"), "50.0")
    e = a.entries
    a.put("factor", "43.0", working="21.5 ÷ 50 × 100 = 43.0")
    given_off(a, {"rated_1": 2000, "rated_2": 3000, "P_1": 700, "P_2": 1150})
    x = fix(50 * 700 / 2000, 1)
    a.put("excess_1", x, working=f"50 × 700 ÷ 2000 = {x}")
    a.put("tf_1", fix(20 + float(x), 1), working=f"20 + {x} = {fix(20 + float(x), 1)}")
    q = fix(5.2 / (rho(38) / 1000 * cp(41.5) * 20) * 60, 2)
    a.put("q_need", q, "L/min", f"5.2 ÷ ({fix(rho(38) / 1000, 4)} × {fix(cp(41.5), 3)} × 20) × 60 = {q}")
    a.put("dial", "6 L/min")
    a.put("buffer", "60 L")
    s = a.put("slope", fix(20 / 11, 2), working=f"(45 − 25) ÷ (17 − 6) = {fix(20 / 11, 2)}")
    a.put("t_curve", fix(25 + s * 14, 1), working=f"25 + {s} × (17 − 3) = {fix(25 + s * 14, 1)}")
    m = fix((1120 / 440 + 360 / 80) / 2, 2)
    a.put("spf", m, working=f"(1120 ÷ 440 + 360 ÷ 80) ÷ 2 = {m}")
    a.put("share", fix(10.73 / float(q) * 100, 1))
    P = a.put("P_el", "0.601", "kW", "3120.716 − 3120.115 = 0.601")
    a.put("cop_m", fix(float(e["heat"]["text"]) / P, 2), working=f"{e['heat']['text']} ÷ {P} = {fix(float(e['heat']['text']) / P, 2)}")
    top = fix(46.2 / (46.2 - 3.1), 3)
    a.put("ceiling", top, working=f"46.2 ÷ (46.2 − 3.1) = {top}")
    a.put("good_enough", "as expected or better")
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "LT-03")
    new = (760, 900, 1700, 3400, 43, 38, 4.1, 41, 1, 1180, 450, 460, 85)
    a.given = {name: f"{value} {u}" for name, value, u in zip(GIVEN, new, UNITS)}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "LT-04",
                (580, 950, 2200, 3500, 45, 39, 4.4, 34, 5, 1000, 400, 440, 100), ("54.0", "6.8"), "-14", "1.1",
                ("37.0", "31.4", ("10.6", "10.7", "10.6"), "4.9", "1875.210", "1875.644", "22.0"), "35.5")
    e = a.entries
    a.put("factor", fix(float(e["factor"]["text"]) / 100, 3), working=e["factor"]["working"])
    a.put("out_1", e["out_1"]["text"], "kW", e["out_1"]["working"])
    a.put("out_2", fix(float(e["out_2"]["text"]) / 1000, 3) + " kW", working=e["out_2"]["working"])
    a.put("q_need", e["q_need"]["text"], "L/s", e["q_need"]["working"])
    a.put("V_least", "54", "kg", e["V_least"]["working"])
    a.put("p_cold", "110 kPa(g)")
    for i, x in enumerate(("636", "642", "636")):
        a.put(f"q#{i + 1}@as-left", x + " L/h")
    a.put("spread", e["spread"]["text"] + " K")
    a.put("time", "0.3667 h")
    a.put("heat", e["heat"]["text"], working=e["heat"]["working"])
    a.put("P_el", e["P_el"]["text"], "kWh", e["P_el"]["working"])
    a.put("u_cop", fix(float(e["u_cop"]["text"]) / 100, 3), working=e["u_cop"]["working"])
    return a


def unsafe_order():
    a = attempt("Under the cover before both were off, a drain beside the unit, no frost protection, too little pressure, measured while it warmed up.", "LT-05",
                (660, 1100, 2000, 3600, 47, 39, 5.0, 24, 7, 980, 390, 300, 70), ("55.0", "6.1"), "-8", "0.5",
                ("38.8", "33.2", ("8.7", "8.8", "8.7"), "6.6", "4410.050", "4410.395", "20.2"), "34.5")
    a.put("whose", "I may tighten a hissing union with two spanners")
    a.put("around", "something within two metres, left as it was")
    a.done("off", "stop first second prove pairs prove-again", "09:10 09:12 09:25 09:16 09:18 09:20")
    a.done("filled", "slow off-loop dry", "10:40 10:45 10:48")
    a.put("drain", "onto the path")
    a.done("course", "locks steady start between end", "10:55 11:05 11:06 11:12 11:27")
    for slot in ("t_f@as-left", "tset_left@as-left"):
        del a.checks[slot]
    a.put("left", "running at a fixed flow")
    return a


def half_done():
    a = attempt("Reckoned, cleaned and filled; it was not started that day, and the outdoor loop was not looked at.", "LT-06",
                (600, 1000, 1900, 3300, 44, 38, 4.2, 36, 4, 1100, 430, 400, 95), ("55.0", "6.0"), "-15", "1.4",
                ("36.6", "31.2", ("9.9", "9.9", "9.9"), "5.0", "1000.000", "1000.400", "22.0"), "34.5")
    e = a.entries
    a.put("q_need", e["q_need"]["text"], working=e["q_need"]["working"])  # the unit is asked for and left out
    a.put("tf_1", e["tf_1"]["text"])  # the working is asked for and left out
    a.drop("q_found", "spf", "frost", "filled#dry", "drain", "course", "t_f", "t_r", "q", "t_air", "E_start", "E_end", "time", "spread", "share", "heat", "P_el", "cop_m",
           "u_cop", "ceiling", "good_enough", "tset_left", "curve_ok", "left", "card", "why_low")
    a.checks = {"p_cold": None}
    return a


if __name__ == "__main__":
    for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
        make().write(__file__, kind)
