"""Works and writes the example attempts at the brief rising-main. What each has to be told stands in expected.yaml."""
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, area, fix, gradient, rho, speed

FETCH = "if I feel a tingle or see a spark when the bond goes on, I let go, keep everybody off and fetch the electrician"
CAPPED = "every end capped from the rack to the joint"
SIGNED = "every outlet labelled on all floors, counted with the tutor"
HOLDS = "holds, not a drop in two minutes"
AGREES = "as reckoned, less what the supply pipe loses"
LEFT = "in use, labels taken off by the tutor, stop valve labelled and turning"
STAYS, CUT = "it may stay, with its outlet marked for weekly running", "it is cut off at the main's tee"
FLOWS = [(5, 0.22), (10, 0.31), (15, 0.38), (20, 0.45), (30, 0.57), (45, 0.72)]  # the demonstration's rule set
ELBOW = {22: 0.7, 28: 0.9, 35: 1.2}
SEEN = ["p_stand", "bond", "p_start", "p_end", "c_start", "c_end", "c_left", "air_gap", "p_top_m@as-left", "t_out"]


def design(units):
    """Design flow in L/s on straight lines between the rows."""
    for (a, x), (b, y) in zip(FLOWS, FLOWS[1:]):
        if a <= units <= b:
            return x + (units - a) / (b - a) * (y - x)
    raise ValueError(units)


def fills(a, item, phase, times):
    for i, t in enumerate(times):
        a.put(f"{item}#{i + 1}@{phase}", t)
    return float(fix(sum(float(t) for t in times) / len(times), 2))


def found(a, stand, times, run):
    mean = fills(a, "t_fill", "as-found", times)
    a.put("p_stand", stand)
    a.put("p_run@as-found", run)
    a.put("q_found", fix(5 / mean * 60, 2), "L/min", f"5.0 ÷ {mean} × 60 = {fix(5 / mean * 60, 2)}")
    a.put("p_lost", fix(float(stand) - float(run), 2))


def main(a, outlets, h, L, n, dead, branch):
    """Loading units to flushing time, each from what stands on the sheet before it; outlets are basins, WCs, sinks, showers."""
    b, w, s, d = outlets
    lu = a.put("LU", str(b + 2 * w + 3 * s + 4 * d), working=f"{b} × 1 + {w} × 2 + {s} × 3 + {d} × 4 = {b + 2 * w + 3 * s + 4 * d}")
    (low, x), (high, y) = next((p, q) for p, q in zip(FLOWS, FLOWS[1:]) if p[0] <= lu <= q[0])
    q = fix(design(lu), 3)
    a.put("q_design", q, "L/s", f"{x} + ({fix(lu, 0)} − {low}) ÷ ({high} − {low}) × ({y} − {x}) = {q}")
    height = fix(rho(10) * 9.80665 * h / 1e5, 2)
    a.put("p_height", height, "bar", f"{fix(rho(10), 1)} × 9.807 × {h} ÷ 100000 = {height}")
    stand = a.entries["p_stand"]["text"]
    free = fix(float(stand) - 1.0 - float(height), 2)
    a.put("p_free", free, working=f"{stand} − 1.0 − {height} = {free}")
    a.put("L_eff", fix(L + n * ELBOW[28], 1), working=f"{L} + {n} × 0.9 = {fix(L + n * ELBOW[28], 1)}")
    sized(a, L, n)
    a.put("V_dead", fix(dead * area(15, 0.7) * 1000, 2), "L", f"{dead} × 0.1453 = {fix(dead * area(15, 0.7) * 1000, 2)}")
    a.put("dead", STAYS if dead * area(15, 0.7) * 1000 <= 0.30 else CUT)
    V = fix(L * area(28, 0.9) * 1000 + branch, 2)
    a.put("V_all", V, working=f"{L} × 0.5391 + {branch} = {V}")
    dosed(a)


def sized(a, L, n):
    """Velocity, loss, tube and the pressure at the top from the flow and the length on the sheet."""
    q, length = float(a.entries["q_design"]["text"]), float(a.entries["L_eff"]["text"])
    a.put("v_main", fix(speed(q * 60, 28, 0.9), 2), working=f"{q} ÷ 1000 ÷ (pi ÷ 4 × 0.0262^2) = {fix(speed(q * 60, 28, 0.9), 2)}")
    R = gradient(q * 60, 28, 0.9, 10)
    a.put("dp_main", fix(R * length / 1e5, 3), "bar", f"{fix(R, 1)} × {length} ÷ 100000 = {fix(R * length / 1e5, 3)}")
    free = float(a.entries["p_free"]["text"])
    small = speed(q * 60, 22, 0.9) <= 1.5 and gradient(q * 60, 22, 0.9, 10) * (L + n * ELBOW[22]) / 1e5 <= free
    a.put("tube", "22 mm" if small else "28 mm")
    stand, height, dp = (a.entries[k]["text"] for k in ("p_stand", "p_height", "dp_main"))
    a.put("p_top", fix(float(stand) - float(height) - float(dp), 2), working=f"{stand} − {height} − {dp} = {fix(float(stand) - float(height) - float(dp), 2)}")


def dosed(a):
    V = float(a.entries["V_all"]["text"])
    a.put("dose", fix(V * 55 / 48, 1), "mL", f"{V} × 55 ÷ 48 = {fix(V * 55 / 48, 1)}")
    a.put("t_flush", fix(10 * V / 20 + 0.5, 0))


def proved(a, bond, start, end, chlorine):
    a.done("off", "last drain bond cut", "09:40 09:55 10:02 10:05")
    a.put("caps", CAPPED)
    a.put("bond", bond)
    a.done("test_run", "air low up settle end", "12:10 12:16 12:24 12:34 13:36")
    a.put("p_start", start)
    a.put("p_end", end)
    a.put("p_drop", fix(float(start) - float(end), 2))
    a.put("signs", SIGNED)
    a.done("disinfect", "flush dose draw wait rinse", "13:50 14:05 14:20 15:22 15:50")
    for item, text in zip(("c_start", "c_end", "c_left"), chlorine):
        a.put(item, text)


def served(a, gap, times, top, t):
    a.put("backflow", HOLDS)
    a.put("air_gap", gap)
    mean = fills(a, "t_fill2", "as-left", times)
    q = a.put("q_left", fix(5 / mean * 60, 2), working=f"5.0 ÷ {mean} × 60 = {fix(5 / mean * 60, 2)}")
    a.put("gain", fix(q / float(a.entries["q_found"]["text"]) * 100, 0))
    a.put("p_top_m@as-left", top)
    want, lost = float(a.entries["p_top"]["text"]), float(a.entries["p_lost"]["text"])
    a.put("agrees", AGREES if want - lost - 0.2 <= float(top) <= want + 0.2 else "not a fair example")
    a.put("t_out", t)
    a.put("left", LEFT)
    e = a.entries
    a.put("record", f"Tested at {e['p_start']['text']} bar for an hour, drop {e['p_drop']['text']} bar. Disinfected with {e['dose']['text']} mL, {e['c_start']['text']} mg/L, after an hour {e['c_end']['text']} mg/L, "
                    f"flushed to {e['c_left']['text']} mg/L. {e['q_left']['text']} L/min and {top} bar at the top. Released for drinking by the tutor. After a fortnight away run every outlet for a few minutes.")
    a.put("why_loss", "The supply pipe loses pressure as well when water flows; a wider main does not win that back, so reckon with the pressure while it runs.")


def attempt(about, trainee, outlets, h, L, n, dead, branch, before, middle, after):
    """A whole attempt without a fault: metres and litres as numbers, readings as typed."""
    b, w, s, d = outlets
    a = Attempt(about, trainee, {"n_basin": f'"{b}"', "n_wc": f'"{w}"', "n_sink": f'"{s}"', "n_shower": f'"{d}"', "h_top": f"{h} m", "L_main": f"{L} m",
                                 "n_elbow": f'"{n}"', "L_dead": f"{dead} m", "V_branch": f"{branch} L"})
    a.put("assessment", "yes")
    a.put("told", "Ann on the first floor, both offices on the second, the caretaker: off from half past nine until about four. The tutor says when it may be drunk.")
    a.put("not_mine", FETCH)
    found(a, *before)
    main(a, outlets, h, L, n, dead, branch)
    proved(a, *middle)
    served(a, *after)
    a.seen(*SEEN)
    return a


def good(about="Careful work: every line right, a first test that fell, mended and taken again, every safety-critical reading seen.", trainee="RM-01"):
    a = attempt(about, trainee, (4, 2, 2, 2), 6.4, 16, 7, 3.2, 2.2, ("3.60", ("38.2", "38.9", "38.4"), "3.35"),
                ("0.02", "9.50", "9.46", ("50", "40", "0.2")), ("32", ("13.1", "13.3", "13.0"), "2.66", "12.5"))
    a.earlier("p_end", "8.60", "a compression nut on the second floor wept; remade, and the whole test taken again")
    return a


def careless():
    """Outlets for units, gravity and elbows forgotten; litres for millilitres, a share of what came on top."""
    a = attempt("Quick on the tower, quicker on paper: outlets counted for units, gravity forgotten, elbows forgotten, a dose that is a thousandth.",
                "RM-02", (3, 4, 1, 3), 7.6, 20, 10, 3.6, 3.0, ("3.80", ("41.0", "41.6", "40.9"), "3.50"),
                ("0.03", "9.20", "9.14", ("55", "45", "0.3")), ("28", ("14.2", "14.0", "14.3"), "2.62", "13.0"))
    a.put("LU", "11", working="3 + 4 + 1 + 3 = 11")
    a.put("q_design", fix(design(11), 3), "L/s", f"0.31 + (11 − 10) ÷ (15 − 10) × (0.38 − 0.31) = {fix(design(11), 3)}")
    height = a.put("p_height", fix(rho(10) * 7.6 / 1e5, 3), "bar", f"{fix(rho(10), 1)} × 7.6 ÷ 100000 = {fix(rho(10) * 7.6 / 1e5, 3)}")
    a.put("p_free", fix(3.80 - 1.0 - height, 2), working=f"3.80 − 1.0 − {height} = {fix(3.80 - 1.0 - height, 2)}")
    a.put("L_eff", "20", working="20 = 20")
    sized(a, 20, 10)
    a.put("dead", STAYS)
    dose = fix(float(a.entries["V_all"]["text"]) * 55 / 48 / 1000, 4)
    a.put("dose", dose, "mL", f"{a.entries['V_all']['text']} × 55 ÷ 48 ÷ 1000 = {dose}")
    a.put("t_flush", "0.7")
    q, r = float(a.entries["q_left"]["text"]), float(a.entries["q_found"]["text"])
    a.put("gain", fix((q - r) / r * 100, 0))
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "RM-03")
    a.given = {"n_basin": '"5"', "n_wc": '"4"', "n_sink": '"2"', "n_shower": '"3"', "h_top": "8.2 m", "L_main": "22 m", "n_elbow": '"10"', "L_dead": "1.4 m", "V_branch": "3.8 L"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "RM-04", (2, 3, 2, 1), 6.0, 17, 6, 2.8, 2.4, ("3.40", ("30.6", "30.2", "30.4"), "3.20"),
                ("0.02", "9.40", "9.38", ("50", "42", "0.1")), ("30", ("12.6", "12.4", "12.5"), "2.60", "11.5"))
    e = a.entries
    a.put("p_stand", "340 kPa(g)")
    a.put("q_found", e["q_found"]["text"], "L/s", e["q_found"]["working"])
    a.put("q_design", fix(float(e["q_design"]["text"]) * 60, 1), "L/min", e["q_design"]["working"].rsplit("=", 1)[0] + "= " + e["q_design"]["text"])
    a.put("p_height", e["p_height"]["text"], "m", e["p_height"]["working"])
    a.put("p_free", e["p_free"]["text"] + " kPa", working=e["p_free"]["working"])
    a.put("dp_main", e["dp_main"]["text"], working=e["dp_main"]["working"])
    a.put("V_dead", fix(float(e["V_dead"]["text"]) * 1000, 0), "mL", e["V_dead"]["working"])
    a.put("dose", e["dose"]["text"], "mg", e["dose"]["working"])
    a.put("V_all", e["V_all"]["text"] + " m³", working=e["V_all"]["working"])
    a.put("c_start", "0.050 g/L")
    a.put("air_gap", "3.0 cm")
    a.put("gain", fix(float(e["gain"]["text"]) / 100, 2))
    return a


def unsafe_order():
    a = attempt("Cut before it was bonded, half an hour for an hour, labels where they could be reached, the last strip not looked at.",
                "RM-05", (4, 3, 1, 2), 8.0, 19, 9, 1.6, 3.2, ("3.90", ("44.1", "43.6", "44.0"), "3.60"),
                ("0.31", "9.30", "9.00", ("30", "20", "2.5")), ("15", ("14.8", "15.1", "14.9"), "2.60", "22.5"))
    a.put("not_mine", "the bond can stay off while I am quick")
    a.done("off", "last drain bond cut", "09:40 09:50 10:10 10:02")
    a.put("caps", "ends open, nothing done")
    a.done("test_run", "air low up settle end", "11:30 11:34 11:36 11:46 12:20")
    a.put("signs", "those that I could reach")
    a.done("disinfect", "flush dose draw wait rinse", "12:30 12:40 13:20 13:50 14:00")
    a.put("backflow", "drips")
    for slot in ("c_left", "p_stand"):
        del a.checks[slot]
    return a


def half_done():
    a = attempt("Piped and up to pressure when the day ended; nothing is disinfected, and the water stays off.", "RM-06", (2, 2, 1, 2), 5.8, 14, 5, 1.8, 2.0,
                ("3.20", ("33.0", "33.4", "32.8"), "3.00"), ("0.03", "9.10", "9.06", ("50", "40", "0.2")), ("30", ("13.5", "13.6", "13.4"), "2.25", "12.0"))
    a.drop("told", "t_fill#3", "test_run#end", "p_end", "p_drop", "t_flush", "signs", "disinfect", "c_start", "c_end", "c_left", "backflow", "air_gap", "t_fill2", "q_left", "gain",
           "p_top_m", "agrees", "t_out", "left", "record", "why_loss")
    a.put("q_design", a.entries["q_design"]["text"], working=a.entries["q_design"]["working"])  # the unit is asked for and left out
    a.checks = {"p_stand": None, "bond": None, "p_start": None}
    return a


if __name__ == "__main__":
    for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
        make().write(__file__, kind)
