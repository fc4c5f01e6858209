"""Works and writes the example attempts at the brief pipe-sizing. What each has to be told stands in expected.yaml."""
import math
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, cp, fix, friction, gradient, rho, speed, viscosity

SHUT = "the pump's terminal box stays shut; a wet plug or a warm cable I report and touch nothing"
FLUSHED = "flushed until the bucket stayed clear, strainer looked at"
LEFT = "pump at the speed as left and labelled, tappings capped, floor dry"
AGREE = "they agree within a fifth, as well as such a reckoning can"
ELBOW, TEE, V_MOST, R_MOST, EXCHANGER = 0.9, 1.4, 0.85, 320, 6.0  # the demonstration's rule set; the exchanger's plate
STEPS = ["1.0", "1.5", "2.0", "2.5", "3.0", "4.0", "5.0"]
SEEN = ["p_start", "p_end", "p_cold", "t_run"]


def flow(P, tr):
    """Flow in L/min for a load in kW from 70 °C to tr."""
    t = (70 + tr) / 2
    return P / (rho(t) / 1000 * cp(t) * (70 - tr)) * 60


def by_hand(a, far, near, LB, nB, sink, tr):
    """Branch B by hand, each figure from those on the sheet before it."""
    t, dt = (70 + tr) / 2, 70 - tr
    d, c = rho(t), cp(t)
    per = f"({fix(d / 1000, 4)} × {fix(c, 3)} × {dt}) × 60"
    a.put("q_A", fix(flow(far + near, tr), 2), "L/min", f"({far} + {near}) ÷ {per} = {fix(flow(far + near, tr), 2)}")
    q = a.put("q_B", fix(flow(far, tr), 2), working=f"{far} ÷ {per} = {fix(flow(far, tr), 2)}")
    friction_of(a, q, t)
    lost(a, LB, nB, sink, t)


def friction_of(a, q, t):
    v = a.put("v_B", fix(speed(q, 15, 0.7), 3), "m/s", f"{q} ÷ 60000 ÷ (pi ÷ 4 × 0.0136^2) = {fix(speed(q, 15, 0.7), 3)}")
    nu = viscosity(t)
    re = a.put("Re_B", fix(v * 0.0136 / nu, 0), working=f"{v} × 0.0136 ÷ ({fix(nu * 1e6, 4)} × 10^-6) = {fix(v * 0.0136 / nu, 0)}")
    f = friction(re, 13.6)
    a.put("f_B", fix(f, 4), working=f"(−2 × log10(0.0015 ÷ (3.7 × 13.6) + 2.51 ÷ ({fix(re, 0)} × sqrt({fix(f, 4)}))))^−2 = {fix(f, 4)}")


def lost(a, LB, nB, sink, t):
    """Gradient, fittings and branch B from velocity and friction on the sheet."""
    v, f, d = float(a.entries["v_B"]["text"]), float(a.entries["f_B"]["text"]), rho(t)
    R = a.put("R_B", fix(f / 0.0136 * d * v ** 2 / 2, 0), "Pa/m", f"{f} ÷ 0.0136 × {fix(d, 1)} × {v}^2 ÷ 2 = {fix(f / 0.0136 * d * v ** 2 / 2, 0)}")
    z = nB * ELBOW + 2 * TEE
    Z = a.put("Z_B", fix(z * d * v ** 2 / 2, 0), working=f"({nB} × 0.9 + 2 × 1.4) × {fix(d, 1)} × {v}^2 ÷ 2 = {fix(z * d * v ** 2 / 2, 0)}")
    dp = fix((2 * LB * R + Z) / 1000 + sink, 2)
    a.put("dp_B", dp, "kPa", f"(2 × {LB} × {fix(R, 0)} + {fix(Z, 0)}) ÷ 1000 + {sink} = {dp}")


def rest(a, near, LA, LC, nA, nC, sink, tr):
    """Branch C, the main, the index circuit and what is chosen by them."""
    t = (70 + tr) / 2
    qC, d = flow(near, tr), rho(t)
    R, v = gradient(qC, 15, 0.7, t), speed(qC, 15, 0.7)
    z = (nC * ELBOW + 2 * TEE) * d * v ** 2 / 2
    C = fix((2 * LC * R + z) / 1000 + sink, 2)
    a.put("dp_C", C, working=f"(2 × {LC} × {fix(R, 1)} + {fix(z, 1)}) ÷ 1000 + {sink} = {C}")
    qA = float(a.entries["q_A"]["text"])
    R, v = gradient(qA, 22, 0.9, t), speed(qA, 22, 0.9)
    z = nA * ELBOW * d * v ** 2 / 2
    A = fix((2 * LA * R + z) / 1000, 2)
    a.put("dp_A", A, working=f"(2 × {LA} × {fix(R, 1)} + {fix(z, 1)}) ÷ 1000 = {A}")
    decided(a, t)


def decided(a, t):
    A, B, C = (float(a.entries[k]["text"]) for k in ("dp_A", "dp_B", "dp_C"))
    a.put("index", "B, the far one" if B >= C else "C, the near one")
    P = fix(EXCHANGER + A + max(B, C), 2)
    a.put("dp_index", P, working=f"6.0 + {A} + {max(B, C)} = {P}")
    H = fix(float(P) * 1000 / (rho(t) * 9.80665), 2)
    a.put("H_need", H, "m", f"{P} × 1000 ÷ ({fix(rho(t), 1)} × 9.807) = {H}")
    sizes(a, t)


def sizes(a, t):
    qA, qB = float(a.entries["q_A"]["text"]), float(a.entries["q_B"]["text"])
    a.put("tube_A", "15 mm" if speed(qA, 15, 0.7) <= V_MOST and gradient(qA, 15, 0.7, t) <= R_MOST else "22 mm")
    a.put("tube_B", "12 mm" if speed(qB, 12, 0.7) <= V_MOST and gradient(qB, 12, 0.7, t) <= R_MOST else "15 mm")
    a.put("step", next(s for s in STEPS if float(s) >= float(a.entries["H_need"]["text"])) + " m")


def tested(a, start, end, cold):
    a.done("watch", "last half hour", "11:10 11:40 12:12")
    a.done("test_run", "low up settle end", "12:30 12:38 12:48 13:20")
    a.put("p_start", start)
    a.put("p_end", end)
    a.put("p_drop", fix(float(start) - float(end), 2))
    a.put("flushed", FLUSHED)
    a.put("p_cold", cold)


def pumped(a, t, n1, q1, dp1, P1, n2, q2, dp2, P2):
    """The pump's readings, as typed, and what is worked out of them."""
    a.done("run", "zero found set left zero-again", "14:00 14:06 14:15 14:21 14:26")
    for slot, text in {"t_run": t, "n_1@as-found": n1, "q_1@as-found": q1, "dp_1@as-found": dp1, "P_1@as-found": P1,
                       "n_2@as-left": n2, "q_2@as-left": q2, "dp_2@as-left": dp2, "P_2@as-left": P2}.items():
        a.put(slot, text)
    H = a.put("H_1", fix(float(dp1) * 1000 / (rho(float(t)) * 9.80665), 2), working=f"{dp1} × 1000 ÷ ({fix(rho(float(t)), 1)} × 9.807) = {fix(float(dp1) * 1000 / (rho(float(t)) * 9.80665), 2)}")
    qA, x, y = float(a.entries["q_A"]["text"]), float(n1), float(n2)
    a.put("n_need", fix(x * qA / float(q1), 0), "rpm", f"{n1} × {qA} ÷ {q1} = {fix(x * qA / float(q1), 0)}")
    a.put("H_pred", fix(H * (y / x) ** 2, 2), working=f"{H} × ({n2} ÷ {n1})^2 = {fix(H * (y / x) ** 2, 2)}")
    a.put("P_pred", fix(float(P1) * (y / x) ** 3, 1), "W", f"{P1} × ({n2} ÷ {n1})^3 = {fix(float(P1) * (y / x) ** 3, 1)}")
    a.put("share", fix(float(q2) / qA * 100, 1))
    eta = fix(float(q2) / 60 * float(dp2) / float(P2) * 100, 1)
    a.put("eta", eta, working=f"{q2} ÷ 60 × {dp2} ÷ {P2} × 100 = {eta}")
    more = float(dp2) / (float(a.entries["dp_index"]["text"]) * (float(q2) / qA) ** 2)
    a.put("verdict", AGREE if 0.8 <= more <= 1.2 else f"not a fair example: {more}")


def attempt(about, trainee, far, near, L, n, sinks, tr, test, pump):
    """A whole attempt without a fault: loads in kW, L and n for main, far and near, the sinks' losses in kPa, readings as typed."""
    a = Attempt(about, trainee, {"P_far": f"{far} kW", "P_near": f"{near} kW", "L_A": f"{L[0]} m", "L_B": f"{L[1]} m", "L_C": f"{L[2]} m", "n_A": f'"{n[0]}"',
                                 "n_B": f'"{n[1]}"', "n_C": f'"{n[2]}"', "dp_far": f"{sinks[0]} kPa", "dp_near": f"{sinks[1]} kPa", "t_r": f"{tr} °C"})
    a.put("assessment", "yes")
    a.put("not_mine", SHUT)
    a.done("off", "plug cold let open", "09:05 09:06 09:12 09:15")
    by_hand(a, far, near, L[1], n[1], sinks[0], tr)
    rest(a, near, L[0], L[2], n[0], n[2], sinks[1], tr)
    tested(a, *test)
    pumped(a, *pump)
    a.put("left", LEFT)
    index = a.entries["index"]["text"]
    a.put("card", f"Design flow {a.entries['q_A']['text']} L/min, head {a.entries['H_need']['text']} m; pump left at {pump[5]} rpm and {pump[8]} W. Index circuit: {index}. A new branch changes the main's flow and perhaps the index circuit: reckon flow, head and setting again, do not just turn it up.")
    a.put("why_index", "The branches are side by side and have the same pressure across them. What is enough for the worst is too much for the others, so they are throttled.")
    a.seen(*SEEN)
    return a


def good(about="Careful work: every line right, the near branch found to be the index circuit, every safety-critical reading seen.", trainee="PS-01"):
    return attempt(about, trainee, 3.5, 5.25, (5.5, 8.5, 3.5), (3, 7, 5), (2.5, 7.5), 51, ("4.70", "4.66", "1.2"),
                   ("58.5", "3120", "9.10", "25.4", "14.9", "2310", "6.72", "13.9", "6.2"))


def careless():
    """Outside diameter, cold water, half a circuit, the board's height in the head; the flow's ratio turned over."""
    a = attempt("Fast and half the circuit: the outside diameter, cold water, no return pipe, the height of the board in the head.",
                "PS-02", 4.5, 5.0, (7.0, 10.5, 2.5), (5, 8, 3), (3.5, 3.0), 50, ("4.80", "4.74", "1.1"),
                ("57.0", "3300", "8.80", "26.1", "15.4", "2610", "6.96", "16.6", "7.7"))
    e = a.entries
    q = float(e["q_B"]["text"])
    v = a.put("v_B", fix(q / 60000 / (math.pi / 4 * 0.015 ** 2), 3), "m/s", f"{q} ÷ 60000 ÷ (pi ÷ 4 × 0.015^2) = {fix(q / 60000 / (math.pi / 4 * 0.015 ** 2), 3)}")
    nu = viscosity(20)
    re = a.put("Re_B", fix(v * 0.0136 / nu, 0), working=f"{v} × 0.0136 ÷ ({fix(nu * 1e6, 4)} × 10^-6) = {fix(v * 0.0136 / nu, 0)}")
    f = friction(re, 13.6)
    a.put("f_B", fix(f, 4), working=f"(−2 × log10(0.0015 ÷ (3.7 × 13.6) + 2.51 ÷ ({fix(re, 0)} × sqrt({fix(f, 4)}))))^−2 = {fix(f, 4)}")
    lost(a, 10.5, 8, 3.5, 60)
    R, Z = e["R_B"]["text"], e["Z_B"]["text"]
    B = fix((10.5 * float(R) + float(Z)) / 1000 + 3.5, 2)
    a.put("dp_B", B, "kPa", f"(10.5 × {R} + {Z}) ÷ 1000 + 3.5 = {B}")
    decided(a, 60)
    H = fix(float(e["dp_index"]["text"]) * 1000 / (rho(60) * 9.80665) + 2.4, 2)
    a.put("H_need", H, "m", f"{e['dp_index']['text']} × 1000 ÷ ({fix(rho(60), 1)} × 9.807) + 2.4 = {H}")
    a.put("step", next(s for s in STEPS if float(s) >= float(H)) + " m")
    a.put("tube_B", "22 mm")
    qA = float(e["q_A"]["text"])
    a.put("n_need", fix(3300 * 8.80 / qA, 0), "rpm", f"3300 × 8.80 ÷ {qA} = {fix(3300 * 8.80 / qA, 0)}")
    a.put("P_pred", fix(15.4 * 2610 / 3300, 1), "W", f"15.4 × 2610 ÷ 3300 = {fix(15.4 * 2610 / 3300, 1)}")
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "PS-03")
    a.given = {"P_far": "4.75 kW", "P_near": "5.75 kW", "L_A": "8.0 m", "L_B": "11.0 m", "L_C": "2.0 m", "n_A": '"6"', "n_B": '"4"', "n_C": '"2"',
               "dp_far": "3.0 kPa", "dp_near": "2.0 kPa", "t_r": "50 °C"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "PS-04", 3.0, 5.5, (4.5, 7.5, 4.0), (2, 5, 6), (2.0, 5.5), 52, ("4.60", "4.56", "1.0"),
                ("60.0", "2900", "9.20", "24.8", "14.5", "2140", "6.80", "13.2", "6.0"))
    e = a.entries
    a.put("q_A", e["q_A"]["text"], "L/s", e["q_A"]["working"])
    a.put("q_B", fix(float(e["q_B"]["text"]) * 60, 0) + " L/h", working=e["q_B"]["working"])
    a.put("v_B", e["v_B"]["text"], working=e["v_B"]["working"])
    a.put("R_B", fix(float(e["R_B"]["text"]) / 100, 2), "mbar/m", e["R_B"]["working"])
    a.put("Z_B", e["Z_B"]["text"] + " kPa", working=e["Z_B"]["working"])
    a.put("dp_B", e["dp_B"]["text"], "kPa/m", e["dp_B"]["working"])
    a.put("dp_index", fix(float(e["dp_index"]["text"]) / 1000, 5), working=e["dp_index"]["working"])
    a.put("H_need", e["H_need"]["text"], "kPa", e["H_need"]["working"])
    a.put("p_cold", "100 kPa(g)")
    a.put("dp_1@as-found", "248 mbar")
    a.put("n_need", e["n_need"]["text"], "L/min", e["n_need"]["working"])
    a.put("P_pred", e["P_pred"]["text"], "kW", e["P_pred"]["working"])
    a.put("share", fix(float(e["share"]["text"]) / 100, 3))
    return a


def unsafe_order():
    a = attempt("A flame before the board was empty, no fire watch, up to pressure in one go, a drop that nobody looked into, a temperature that nobody saw.",
                "PS-05", 3.75, 4.75, (6.5, 9.5, 4.5), (4, 9, 4), (3.0, 6.5), 51, ("4.50", "4.20", "0.6"),
                ("66.0", "3050", "9.00", "28.6", "17.0", "2180", "6.48", "14.9", "6.6"))
    a.put("not_mine", "I may open the terminal box once the switch is off")
    a.done("off", "plug cold let open", "09:05 09:06 09:40 09:22")
    a.done("watch", "last half hour", "11:10 11:20 11:35")
    a.done("test_run", "low up settle end", "11:50 11:52 11:55 12:10")
    a.put("flushed", "not flushed")
    a.drop("run#zero", "run#zero-again")
    for slot in ("t_run", "p_end"):
        del a.checks[slot]
    a.put("left", "left running, hoses on")
    return a


def half_done():
    a = attempt("The circuit is reckoned and the branch is piped; the test was cut off by the end of the day.", "PS-06", 4.0, 6.0, (6.0, 7.0, 5.0), (4, 6, 6), (2.5, 6.0), 50,
                ("4.70", "4.68", "1.2"), ("58.0", "3000", "9.00", "24.6", "14.4", "2420", "7.26", "16.0", "7.6"))
    q = a.entries["q_A"]
    a.put("q_A", q["text"], working=q["working"])  # the unit is asked for and left out
    a.put("dp_C", a.entries["dp_C"]["text"])  # the working is asked for and left out
    a.drop("step", "test_run#end", "p_end", "p_drop", "flushed", "p_cold", "run", "t_run", "n_1", "q_1", "dp_1", "P_1", "H_1", "n_need", "n_2", "H_pred", "P_pred",
           "q_2", "dp_2", "P_2", "share", "eta", "verdict", "left", "card", "why_index")
    a.checks = {"p_start": None}
    return a


if __name__ == "__main__":
    for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
        make().write(__file__, kind)
