"""Works and writes the example attempts at the brief emitters. What each has to be told stands in expected.yaml."""
import math
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, cp, fix, rho

STOP = "if the detector shows a cable where I want to drill, I stop and my tutor decides"
LEFT = "return valve back at the reckoned flow and counted, rig off and cooling, bay swept"
AGREE = "they agree as well as this measurement can show"
R_SI, R_SE, AIR, REHEAT, BRACKET = 0.12, 0.05, 1.2, 9, 145  # the demonstration's rule set
RACK = {440: (8.6, 2.2), 580: (11.2, 2.9), 730: (14.1, 3.6), 890: (17.3, 4.5), 1060: (20.5, 5.3),
        1240: (24.1, 6.2), 1450: (28.0, 7.3), 1700: (32.9, 8.5), 2000: (38.6, 10.0), 2350: (45.4, 11.8)}
PRESET = ["0.4", "0.5", "0.65", "0.85", "1.1", "1.3", "1.6", "2.0", "2.5", "3.2", "4.0"]
SEEN = ["t_open", "p_cold", "t_f@as-left"]


def roof(share):
    """Transmittance of the roof in W/(m²·K): joists' share 0..1."""
    wool, wood, rest, d = 0.037, 0.13, 0.42, 0.14
    upper = 1 / ((1 - share) / (rest + d / wool) + share / (rest + d / wood))
    lower = rest + d / ((1 - share) * wool + share * wood)
    return 2 / (upper + lower), upper, lower


def room(a, l, w, window, wool, share, te):
    """The room's figures, each worked from those on the sheet before it."""
    R = R_SI + 0.1 / 0.22 + wool / 1000 / 0.037 + 0.105 / 0.75 + R_SE
    uw = a.put("U_wall", fix(1 / R, 3), "W/(m²·K)", f"1 ÷ ({R_SI} + 0.1 ÷ 0.22 + {wool / 1000} ÷ 0.037 + 0.105 ÷ 0.75 + {R_SE}) = {fix(1 / R, 3)}")
    u, upper, lower = roof(share / 100)
    ur = a.put("U_roof", fix(u, 3), working=f"2 ÷ ({fix(upper, 3)} + {fix(lower, 3)}) = {fix(u, 3)}")
    aw = a.put("A_wall", fix(l * 2.4 - window, 2), working=f"{l} × 2.4 − {window} = {fix(l * 2.4 - window, 2)}")
    loss(a, aw, uw, ur, l, w, window, te)


def loss(a, aw, uw, ur, l, w, window, te):
    """Fabric, air and load from what stands on the sheet."""
    dt = 21 - te
    T = fix((aw * uw + window * 1.4 + l * w * ur + 0.06 * 11.4) * dt, 0)
    a.put("Phi_T", T, "W", f"({aw} × {uw} + {window} × 1.4 + {l} × {w} × {ur} + 0.06 × 11.4) × {dt} = {T}")
    V = fix(0.34 * AIR * l * w * 2.4 * dt, 0)
    a.put("Phi_V", V, working=f"0.34 × 1.2 × {l} × {w} × 2.4 × {dt} = {V}")
    total(a, l, w)


def total(a, l, w):
    T, V = a.entries["Phi_T"]["text"], a.entries["Phi_V"]["text"]
    P = fix(float(T) + float(V) + REHEAT * l * w, 0)
    a.put("Phi", P, working=f"{T} + {V} + 9 × {l} × {w} = {P}")


def chosen(a, f, r):
    """Excess, catalogue output, radiator, flow, mass and brackets for the load on the sheet."""
    P = float(a.entries["Phi"]["text"])
    ex = a.put("excess", fix((f + r) / 2 - 21, 1), "K", f"({f} + {r}) ÷ 2 − 21 = {fix((f + r) / 2 - 21, 1)}")
    n = a.put("Phi_n", fix(P / (ex / 50) ** 1.3, 0), working=f"{fix(P, 0)} ÷ ({ex} ÷ 50)^1.3 = {fix(P / (ex / 50) ** 1.3, 0)}")
    taken(a, n)
    d, c = rho(r), cp((f + r) / 2)
    q = fix(P / 1000 / (d / 1000 * c * (f - r)) * 60, 2)
    a.put("q_design", q, "L/min", f"{P / 1000} ÷ ({fix(d / 1000, 4)} × {fix(c, 3)} × ({f} − {r})) × 60 = {q}")
    a.put("preset", next(s for s in PRESET if float(s) >= float(q)) + " L/min")


def taken(a, n):
    """The smallest radiator of the rack that has the catalogue output, and what hangs on the wall."""
    size = min(s for s in RACK if s >= n)
    a.put("rad_size", f"{size} W")
    a.put("rated", str(size))
    dry, water = RACK[size]
    m = a.put("m_full", fix(dry + water, 1), "kg", f"{dry} + {water} = {fix(dry + water, 1)}")
    a.put("brackets", {1: "two", 2: "two", 3: "three"}.get(math.ceil(m * 9.80665 / BRACKET), "four"))


def measured(a, f, r, t, q):
    """What the radiator gives and what the catalogue promises: the readings as typed, q three times."""
    for i, x in enumerate(q):
        a.put(f"q#{i + 1}@as-left", x)
    mean = float(fix(sum(float(x) for x in q) / 3, 3))
    f, r, t = a.put("t_f@as-left", f), a.put("t_r@as-left", r), a.put("t_a@as-left", t)
    d, c = rho(r), cp((f + r) / 2)
    P = fix(mean / 60 * d / 1000 * c * (f - r) * 1000, 0)
    a.put("heat", P, "W", f"{mean} ÷ 60 × {fix(d / 1000, 4)} × {fix(c, 3)} × ({f} − {r}) × 1000 = {P}")
    U = fix(2 * float(P) * math.sqrt(0.01 ** 2 + 2 * (0.15 / (f - r)) ** 2), 0)
    a.put("U_heat", U, working=f"2 × {P} × sqrt(0.01^2 + 2 × (0.15 ÷ ({f} − {r}))^2) = {U}")
    share = a.put("c_mean", fix((r - t) / (f - t) * 100, 1))
    a.put("which_mean", "the arithmetic one does" if share >= 70 else "the logarithmic one is needed")
    ex = a.put("excess_m", fix((f + r) / 2 - t, 1))
    rated = float(a.entries["rated"]["text"])
    a.put("Phi_m", fix(rated * (ex / 50) ** 1.3, 0), working=f"{fix(rated, 0)} × ({ex} ÷ 50)^1.3 = {fix(rated * (ex / 50) ** 1.3, 0)}")
    a.put("keeps", AGREE)


def throttled(a, f, r, t):
    f, r, t = a.put("t_f2", f), a.put("t_r2", r), float(t)
    ex = fix((f - r) / math.log((f - t) / (r - t)), 1)
    a.put("excess_log", ex, "K", f"({f} − {r}) ÷ ln(({f} − {t}) ÷ ({r} − {t})) = {ex}")
    rated = float(a.entries["rated"]["text"])
    P = fix(rated * (float(ex) / 49.83) ** 1.3, 0)
    a.put("Phi_log", P, working=f"{fix(rated, 0)} × ({ex} ÷ 49.83)^1.3 = {P}")


def attempt(about, trainee, l, w, window, wool, share, te, df, dr, found, opened, p, f, r, t, q, f2, r2):
    """A whole attempt without a fault: lengths in m, wool in mm, share in %, temperatures in °C, readings as typed."""
    a = Attempt(about, trainee, {"l_room": f"{l} m", "w_room": f"{w} m", "A_win": f"{window} m²", "d_wool": f"{wool} mm",
                                 "s_wood": f"{share} %", "t_e": f"{te} °C", "t_df": f"{df} °C", "t_dr": f"{dr} °C"})
    a.put("assessment", "yes")
    a.put("not_mine", STOP)
    a.put("tf_found@as-found", found[0])
    a.put("tr_found@as-found", found[1])
    a.done("off", "pump prove cold shut", "09:10 09:14 09:55 09:58")
    a.put("t_open", opened)
    room(a, l, w, window, wool, share, te)
    chosen(a, df, dr)
    a.done("detect", "try sweep drawing again", "10:40 10:41 10:45 10:47")
    a.put("tried", "the load of a bracket on each by the spring balance, none moved")
    a.put("two_up", "yes")
    a.done("fill", "slow vent dry", "11:20 11:28 11:38")
    a.put("dry", "all dry after ten minutes")
    a.put("p_cold", p)
    a.done("steady", "set warm still throttle second", "11:45 12:05 12:10 12:14 12:36")
    measured(a, f, r, t, q)
    throttled(a, f2, r2, t)
    a.put("left", LEFT)
    a.put("sheet", f"Load {a.entries['Phi']['text']} W, radiator {a.entries['rated']['text']} W at 50 K, chosen for {df}/{dr} °C. If the heating runs colder it has to be worked out again: the output falls faster than the excess.")
    a.put("why_n", "It makes its own draught of warm air, and that gets weaker as well when it is less hot.")
    a.seen(*SEEN)
    return a


def good(about="Careful work: every line right, every safety-critical reading seen, one union that wept remade.", trainee="EM-01"):
    a = attempt(about, trainee, 4.4, 3.8, 2.2, 90, 14, -4, 67, 53, ("62.1", "37.4"), "33.0", "1.2",
                "66.0", "52.6", "20.4", ("0.97", "0.96", "0.97"), "66.8", "34.6")
    a.put("dry", "one wept, remade, then dry")
    return a


def careless():
    """The window left in the wall, the frost taken for warmth, a factor the wrong way; then litres a minute as litres a second."""
    a = attempt("Quick and sure of it: the window still in the wall, a frost that warms, a factor the wrong way round, log for ln.",
                "EM-02", 5.2, 4.0, 2.6, 70, 10, -3, 65, 51, ("60.5", "41.0"), "36.5", "1.3",
                "65.2", "50.8", "20.1", ("0.52", "0.52", "0.52"), "65.9", "30.6")
    e = a.entries
    aw = a.put("A_wall", "12.48", working="5.2 × 2.4 = 12.48")
    loss(a, aw, float(e["U_wall"]["text"]), float(e["U_roof"]["text"]), 5.2, 4.0, 2.6, -3)
    V = fix(0.34 * AIR * 5.2 * 4.0 * 2.4 * 18, 0)
    a.put("Phi_V", V, working=f"0.34 × 1.2 × 5.2 × 4.0 × 2.4 × 18 = {V}")
    total(a, 5.2, 4.0)
    chosen(a, 65, 51)
    n = fix(float(e["Phi"]["text"]) * (37 / 50) ** 1.3, 0)
    a.put("Phi_n", n, working=f"{e['Phi']['text']} × (37 ÷ 50)^1.3 = {n}")
    taken(a, float(n))
    measured(a, "65.2", "50.8", "20.1", ("0.52", "0.52", "0.52"))
    mean, d, c = 0.52, rho(50.8), cp(58.0)
    P = fix(mean * d / 1000 * c * (65.2 - 50.8), 1)
    a.put("heat", P, "kW", f"{mean} × {fix(d / 1000, 4)} × {fix(c, 3)} × (65.2 − 50.8) = {P}")
    a.put("c_mean", fix((65.2 - 20.1) / (50.8 - 20.1) * 100, 1))
    a.put("which_mean", "the arithmetic one does")
    rated, ex = float(e["rated"]["text"]), float(e["excess_m"]["text"])
    a.put("Phi_m", fix(rated * ex / 50, 0), working=f"{fix(rated, 0)} × {ex} ÷ 50 = {fix(rated * ex / 50, 0)}")
    throttled(a, "65.9", "30.6", "20.1")
    x = fix((65.9 - 30.6) / math.log10((65.9 - 20.1) / (30.6 - 20.1)), 1)
    a.put("excess_log", x, "K", f"(65.9 − 30.6) ÷ log10((65.9 − 20.1) ÷ (30.6 − 20.1)) = {x}")
    P = fix(rated * (float(x) / 49.83) ** 1.3, 0)
    a.put("Phi_log", P, working=f"{fix(rated, 0)} × ({x} ÷ 49.83)^1.3 = {P}")
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "EM-03")
    a.given = {"l_room": "5.4 m", "w_room": "4.0 m", "A_win": "1.8 m²", "d_wool": "60 mm", "s_wood": "20 %", "t_e": "-5 °C", "t_df": "69 °C", "t_dr": "56 °C"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "EM-04", 4.6, 3.4, 1.8, 80, 12, -3, 66, 52,
                ("59.8", "40.2"), "30.5", "1.1", "65.6", "52.4", "20.8", ("0.95", "0.96", "0.95"), "66.0", "33.0")
    e = a.entries
    a.put("U_wall", e["U_wall"]["text"], "W/m²", e["U_wall"]["working"])
    a.put("A_wall", fix(float(e["A_wall"]["text"]) * 10000, 0) + " cm²", working=e["A_wall"]["working"])
    a.put("Phi_T", e["Phi_T"]["text"], working=e["Phi_T"]["working"])
    a.put("Phi_V", e["Phi_V"]["text"] + " kW", working=e["Phi_V"]["working"])
    a.put("Phi_n", fix(float(e["Phi_n"]["text"]) / 1000, 3) + " kW", working=e["Phi_n"]["working"])
    a.put("q_design", e["q_design"]["text"], "L/s", e["q_design"]["working"])
    a.put("m_full", e["m_full"]["text"], "N", e["m_full"]["working"])
    a.put("p_cold", "110 kPa(g)")
    for i, x in enumerate(("57.0", "57.6", "57.0")):
        a.put(f"q#{i + 1}@as-left", x + " L/h")
    a.put("heat", e["heat"]["text"], "kJ", e["heat"]["working"])
    a.put("U_heat", e["U_heat"]["text"] + " kW", working=e["U_heat"]["working"])
    a.put("c_mean", fix(float(e["c_mean"]["text"]) / 100, 3))
    a.put("excess_log", e["excess_log"]["text"], working=e["excess_log"]["working"])
    return a


def unsafe_order():
    a = attempt("Opened warm and before the lock, drilled on the drawing's word, lifted alone, brackets for half the weight, a flow that nobody saw.",
                "EM-05", 5.0, 4.2, 2.4, 60, 16, -5, 64, 52, ("61.0", "42.5"), "46.0", "0.6",
                "63.8", "52.1", "19.9", ("1.48", "1.49", "1.48"), "64.4", "31.8")
    a.put("not_mine", "the drawing is enough, the detector is for old houses")
    a.done("off", "pump prove cold shut", "09:20 09:24 09:30 09:05")
    a.drop("detect#try", "detect#again", "two_up")
    a.put("brackets", "two")
    a.done("fill", "slow vent dry", "11:20 11:28 11:31")
    a.done("steady", "set warm still throttle second", "11:35 11:47 11:52 11:56 12:18")
    del a.checks["t_f@as-left"]
    a.put("left", "left running as throttled")
    return a


def half_done():
    a = attempt("The room is reckoned and the radiator stands on the floor; the second person had gone home.", "EM-06", 4.2, 3.0, 1.6, 100, 8, -4, 70, 50,
                ("63.3", "39.0"), "29.0", "1.2", "69.0", "50.0", "20.0", ("0.50", "0.50", "0.50"), "69.0", "32.0")
    a.put("q_design", a.entries["q_design"]["text"], working=a.entries["q_design"]["working"])  # the unit is asked for and left out
    a.put("U_roof", a.entries["U_roof"]["text"])  # the working is asked for and left out
    a.drop("tr_found", "m_full", "brackets", "detect", "tried", "two_up", "fill", "dry", "p_cold", "steady", "t_f", "t_r", "t_a", "q", "heat", "U_heat", "c_mean",
           "which_mean", "excess_m", "Phi_m", "keeps", "t_f2", "t_r2", "excess_log", "Phi_log", "left", "sheet", "why_n")
    del a.checks["p_cold"], a.checks["t_f@as-left"]
    return a


if __name__ == "__main__":
    for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
        make().write(__file__, kind)
