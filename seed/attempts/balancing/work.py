"""Works and writes the example attempts at the brief balancing. What each has to be told stands in expected.yaml.

The readings come from a small network of its own: a pump, three lengths of main, three branches whose loss goes with the square
of the flow, and valves by the bay's chart.
"""
import math
import os
import sys
from itertools import product

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, fix, rho

CHART = ((0.5, 0.08), (1, 0.18), (1.5, 0.30), (2, 0.43), (2.5, 0.56), (3, 0.69), (3.5, 0.80), (4, 0.90))


def kv_at(turns):
    for (a, x), (b, y) in zip(CHART, CHART[1:]):
        if a <= turns <= b:
            return x + (y - x) * (turns - a) / (b - a)


def turns_at(kv):
    for (a, x), (b, y) in zip(CHART, CHART[1:]):
        if x <= kv <= y:
            return a + (b - a) * (kv - x) / (y - x)


def network(turns, speed):
    """Flows in L/min, pressures across the valves and across branch A in kPa, with the valves' turns and the pump's speed in rpm."""
    valve = [100 / kv_at(t) ** 2 for t in turns]
    low, high = 0.0, 1.0
    for _ in range(60):  # the far branch's flow in m³/h, by halving
        c = (low + high) / 2
        main = (80 + valve[2] + 35) * c * c
        b = math.sqrt(main / (60 + valve[1]))
        main += 13 * (b + c) ** 2
        a = math.sqrt(main / (60 + valve[0]))
        total = a + b + c
        if main + 10 * total ** 2 < 24 * (speed / 2400) ** 2 - 8 * total ** 2:
            low = c
        else:
            high = c
    q = (a, b, c)
    return [x * 1000 / 60 for x in q], [k * x * x for k, x in zip(valve, q)], main


def balanced(design, index, speed):
    """The turns, to a tenth, with which the shares lie closest together; the index valve stays open."""
    best = None
    for x, y in product([n / 10 for n in range(8, 41)], repeat=2):
        turns = [x, y]
        turns.insert(index, 4.0)
        shares = [q / d for q, d in zip(network(turns, speed)[0], design)]
        if best is None or max(shares) - min(shares) < best[0]:
            best = (max(shares) - min(shares), turns)
    return best[1]


def flow(kv, dp):
    return kv * math.sqrt(dp / 100) * 1000 / 60


def attempt(about, trainee, design, h_col, speed, power):
    """A whole attempt without a fault; every figure worked from the one before it as written down."""
    a = Attempt(about, trainee, {f"q_{x}": f"{d} L/min" for x, d in zip("ABC", design)} | {"h_col": f"{h_col} m"})
    prepare(a, float(h_col), speed, power)
    shares = found(a, design, speed)
    index = shares.index(min(shares))
    a.put("index", "ABC"[index])
    needed(a, design[0], min(shares))
    left(a, design, balanced(design, index, speed), speed, power)
    a.put("told", "The near radiator took the water that the far one needed. It is held back now and all three get their whole share. Leave the capped valves and the dial alone.")
    a.seen("t_water")
    return a


def prepare(a, h_col, speed, power):
    a.put("assessment", "yes")
    a.put("not_mine", "the pump's terminal cover stays shut; for more than its dial I call the tutor")
    a.put("t_water", "21.5")
    a.done("open_up", "plug strainer heads vent settle", "09:10 09:16 09:24 09:31 09:40")
    a.put("n_1@as-found", str(speed))
    a.put("P_1@as-found", str(power))
    a.done("zero", "bypass bleed zero hold", "09:46 09:49 09:50 09:52")
    p = a.put("p_col", fix(h_col * rho(21.5) * 9.80665 / 1000, 2), "kPa", f"{h_col} × 998 × 9.81 ÷ 1000 = {fix(h_col * 998 * 9.81 / 1000, 2)}")
    a.put("m_col", fix(p + 0.06, 2))
    a.put("fit_to_use", "use it as it is")


def found(a, design, speed):
    _, dp, across = network((4, 4, 4), speed)
    for x, p in zip("ABC", dp):
        a.put(f"dp_{x}0@as-found", fix(p, 2))
    a.put("H_A@as-found", fix(across, 2))
    shares = []
    for x, d in zip("ABC", design):
        p = fix(dp["ABC".index(x)], 2)
        text = fix(flow(0.9, float(p)), 2)
        if x == "A":
            q = a.put("q_A0", text, "L/min", f"0.90 × √({p} ÷ 100) × 1000 ÷ 60 = {text}")
        else:
            q = a.put(f"q_{x}0", text)
        shares.append(a.put(f"r_{x}", fix(q / d * 100, 1)) / 100)
    least = fix(min(dp), 2)
    a.put("u_flow", fix((1 + 5 / float(least)) / 2, 2), working=f"(1 + 0.05 ÷ {least} × 100) ÷ 2 = {fix((1 + 5 / float(least)) / 2, 2)}")
    return shares


def needed(a, design, share):
    number = {s: float(e["text"]) for s, e in a.entries.items() if s.split("@")[0] in ("H_A", "dp_A0", "q_A0")}
    H, dp, q0 = number["H_A@as-found"], number["dp_A0@as-found"], number["q_A0"]
    q = a.put("qt_A", fix(design * share, 2))
    loss = a.put("loss_A", fix((H - dp) * (q / q0) ** 2, 2), working=f"({H} − {dp}) × ({q} ÷ {q0})² = {fix((H - dp) * (q / q0) ** 2, 2)}")
    kv = q * 0.06 / math.sqrt((H - loss) / 100)
    a.put("kv_A", fix(kv, 3), working=f"{q} × 60 ÷ 1000 ÷ √(({H} − {loss}) ÷ 100) = {fix(kv, 3)}")
    a.put("turns_A", fix(turns_at(round(kv, 3)), 2))


def left(a, design, turns, speed, power):
    a.done("rounds", "first second again index", "11:02 11:09 11:14 11:17")
    dp = network(turns, speed)[1]
    for x, t in zip("ABC", turns):
        a.put(f"s_{x}@as-left", fix(t, 1))
    for x, p in zip("ABC", dp):
        a.put(f"dp_{x}1@as-left", fix(p, 2))
    shares = []
    for x, d, t, p in zip("ABC", design, turns, dp):
        text = fix(flow(kv_at(t), round(p, 2)), 2)
        q = a.put(f"q_{x}1", text, working=f"{fix(kv_at(t), 3)} × √({fix(p, 2)} ÷ 100) × 1000 ÷ 60 = {text}" if x == "A" else None)
        shares.append((q / d, q, d))
    most, least = max(shares), min(shares)
    a.put("spread", fix((most[0] - least[0]) * 100, 1), working=f"({most[1]} ÷ {most[2]} − {least[1]} ÷ {least[2]}) × 100 = {fix((most[0] - least[0]) * 100, 1)}")
    n = a.put("n_need", fix(speed / least[0], 0), "rpm", f"{speed} ÷ ({least[1]} ÷ {least[2]}) = {fix(speed / least[0], 0)}")
    a.put("P_need", fix(power * (n / speed) ** 3, 1), working=f"{power} × ({int(n)} ÷ {speed})³ = {fix(power * (n / speed) ** 3, 1)}")
    a.put("n_2@as-left", str(round(n / 10) * 10))
    total = sum(network(turns, round(n / 10) * 10)[0]) * 0.99  # the rig's meter is a little shy
    texts = [fix(total, 1), fix(total + 0.1, 1), fix(total - 0.1, 1)]
    for i, text in enumerate(texts, 1):
        a.put(f"q_all#{i}@as-left", text)
    a.put("share", fix(sum(map(float, texts)) / 3 / sum(design) * 100, 1))
    a.put("verdict", "leave it")


def good(about="Careful work: every line right, every safety-critical reading seen.", trainee="BA-01"):
    return attempt(about, trainee, (2.9, 4.5, 4.1), "0.90", 2420, 29)


def careless():
    """The nearest branch taken for the index, flows left in m³/h, the design flow taken at once."""
    a = attempt("Skilled hands in a hurry: cubic metres an hour for litres a minute once, the design flow at once, power with the square.", "BA-02", (3.3, 4.0, 4.4), "1.10", 2380, 27)
    p = float(a.entries["dp_B0@as-found"]["text"])
    q = 0.9 * math.sqrt(p / 100)
    a.put("q_B0", fix(q, 3))
    a.put("r_B", fix(q / 4.0 * 100, 2))
    a.put("index", "B")  # as that share has it: 6 %
    a.put("qt_A", "3.30")
    n = float(a.entries["n_need"]["text"])
    a.put("P_need", fix(27 * (n / 2380) ** 2, 1), working=f"27 × ({int(n)} ÷ 2380)² = {fix(27 * (n / 2380) ** 2, 1)}")
    a.put("dp_A1@as-left", "20.6")  # it hisses
    redo(a, "A", 3.3)
    return a


def redo(a, x, design):
    """What follows for one branch from another pressure across its set valve."""
    t, p = float(a.entries[f"s_{x}@as-left"]["text"]), a.entries[f"dp_{x}1@as-left"]["text"]
    text = fix(flow(kv_at(t), float(p)), 2)
    a.put(f"q_{x}1", text, working=f"{fix(kv_at(t), 3)} × √({p} ÷ 100) × 1000 ÷ 60 = {text}")
    shares = sorted((float(a.entries[f"q_{y}1"]["text"]) / d, float(a.entries[f"q_{y}1"]["text"]), d) for y, d in zip("ABC", (design, 4.0, 4.4)))
    most, least = shares[-1], shares[0]
    a.put("spread", fix((most[0] - least[0]) * 100, 1), working=f"({most[1]} ÷ {most[2]} − {least[1]} ÷ {least[2]}) × 100 = {fix((most[0] - least[0]) * 100, 1)}")


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "BA-03")
    a.given = {"q_A": "3.5 L/min", "q_B": "3.7 L/min", "q_C": "4.7 L/min", "h_col": "1.15 m"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not.", "BA-04", (3.0, 3.8, 4.3), "1.05", 2440, 30)
    e = a.entries
    a.put("p_col", e["p_col"]["text"], "bar", e["p_col"]["working"])
    a.put("m_col", fix(float(e["m_col"]["text"]) * 10, 1) + " mbar")  # right
    a.put("dp_B0@as-found", fix(float(e["dp_B0@as-found"]["text"]) * 1000, 0), "Pa")  # right
    a.put("q_A0", e["q_A0"]["text"], "m³/h", e["q_A0"]["working"])
    a.put("loss_A", e["loss_A"]["text"] + " mbar", working=e["loss_A"]["working"])
    a.put("P_1@as-found", "30 V")
    a.put("n_need", e["n_need"]["text"], "Hz", e["n_need"]["working"])
    a.put("q_all#2@as-left", "0.185 L/s")  # right: 11.1 L/min
    return a


def unsafe_order():
    a = attempt("Tapped hot, strainer opened with the plug in, meter zeroed before it was bled, the throttling done before anything was proved.", "BA-05", (3.4, 4.2, 3.9), "0.95", 2400, 28)
    a.put("t_water", "54.0")
    a.put("not_mine", "I may open the terminal cover with the plug out")
    a.done("open_up", "strainer plug heads vent settle", "09:10 09:16 09:24 09:31 09:33")
    a.done("zero", "bypass zero bleed hold", "11:46 11:47 11:49 11:52")
    a.drop("assessment", "rounds#index")
    a.put("n_2@as-left", "3050")
    return a


def half_done():
    a = attempt("Measured and worked out; nothing is set yet.", "BA-06", (2.7, 4.8, 3.6), "0.85", 2360, 26)
    e = a.entries["q_A0"]
    a.put("q_A0", e["text"], working=e["working"])  # the unit is asked for and left out
    a.drop("u_flow", "rounds", "s_A", "s_B", "s_C", "dp_A1", "dp_B1", "dp_C1", "q_A1", "q_B1", "q_C1", "spread", "n_need", "P_need", "n_2", "q_all", "share", "verdict", "told")
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
