"""Works and writes the example attempts at the brief instruments. What each has to be told stands in expected.yaml."""
import math
import os
import statistics
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, fix

CARD = "use it with its correction on a card"
TAGGED = "each has its label, card or tag, and the one that the technician set was compared again"
SEEN = ["p_dial@as-left", "R_m", "M_m"]


def below(z):
    """Share of a normal distribution below z, in per cent."""
    return 50 * (1 + math.erf(z / math.sqrt(2)))


def attempt(about, trainee, e_ref, u_ref, R_ref, ice, bath, pipe, ms, left, R):
    """A whole attempt without a fault: ice three readings; bath the reference's and three; ms the manometer's four; as typed."""
    a = Attempt(about, trainee, {"e_ref": f"{e_ref} K", "u_ref": f"{u_ref} mbar", "R_ref": f"{R_ref} Ω"})
    a.put("assessment", "yes")
    a.put("whole", "leads, hoses, probes and batteries looked at, all whole")
    a.put("t_bench", "20.8")
    a.done("ice", "crush in first again", "09:00 09:02 09:06 09:09")
    warmed(a, e_ref, ice, bath, pipe)
    a.done("zeroed", "level zero tight hold", "09:40 09:41 09:43 09:46")
    for n, text in enumerate(ms, 1):
        a.put(f"m{n}", text)
    spread(a, [float(m) for m in ms], u_ref)
    a.put("p_dial@as-found", "2.12")
    a.put("p_dial@as-left", left)
    a.done("nulled", "joined apart joined-again", "10:20 10:21 10:21")
    r = a.put("R_m", R)
    a.put("R_err", fix(r - R_ref, 2), "Ω")
    a.put("M_m", "1.02")
    a.put("tagged", TAGGED)
    a.put("why_guard", "The bench's own doubt is taken off, so that what passes is inside for certain. The loop's limit has had its margin taken off once.")
    a.put("one_reading", "What is the same every time: the column's own error, a zero that was off.")
    a.seen(*SEEN)
    return a


def warmed(a, e_ref, ice, bath, pipe):
    """Ice, bath and pipe."""
    for n, text in enumerate(ice, 1):
        a.put(f"t_ice#{n}", text)
    a.put("t_ref", bath[0])
    for n, text in enumerate(bath[1:], 1):
        a.put(f"t_test#{n}", text)
    true = a.put("t_true", fix(float(bath[0]) - e_ref, 2), working=f"{bath[0]} − {e_ref} = {fix(float(bath[0]) - e_ref, 2)}")
    erred(a, bath, true, pipe)


def erred(a, bath, true, pipe):
    """The thermometer's error and what follows from it, from the true temperature that is on the sheet."""
    mean = statistics.mean(map(float, bath[1:]))
    e = a.put("e_test", fix(mean - true, 2), "K", f"({' + '.join(bath[1:])}) ÷ 3 − {true} = {fix(mean - true, 2)}")
    a.put("t_pipe", pipe)
    a.put("t_pipe_true", fix(float(pipe) - e, 1))
    a.put("thermometer", "use it as it is" if abs(e) <= 0.35 else CARD if abs(e) <= 1 else "tag it and take it out of use")


def spread(a, ms, u_ref):
    """Mean, spread, uncertainty and error of the manometer."""
    mean = a.put("m_mean", fix(statistics.mean(ms), 3))
    devs = " + ".join(f"{fix(abs(m - mean), 3)}²" for m in ms)
    sd = a.put("m_sd", fix(statistics.stdev(ms), 3), working=f"√(({devs}) ÷ 3) = {fix(statistics.stdev(ms), 3)}")
    u = a.put("m_u", fix(sd / 2, 3), "mbar", f"{sd} ÷ √4 = {fix(sd / 2, 3)}")
    d = a.put("u_d", "0.029", working="0.1 ÷ (2 × √3) = 0.029")
    added(a, u, d, u_ref, a.put("m_err", fix(mean - 20, 3), working=f"{fix(mean, 3)} − 20.00 = {fix(mean - 20, 3)}"))


def added(a, u, d, u_ref, err):
    """The parts that are on the sheet put together."""
    both = a.put("u_all", fix(math.sqrt(u * u + d * d + u_ref * u_ref), 3), working=f"√({u}² + {d}² + {u_ref}²) = {fix(math.sqrt(u * u + d * d + u_ref * u_ref), 3)}")
    a.put("U_all", fix(2 * both, 3))
    a.put("sure", fix(below((0.30 - err) / both), 1))


def good(about="Careful work: every line right, every safety-critical reading seen, the dial gauge set and compared again.", trainee="IN-01"):
    return attempt(about, trainee, 0.3, 0.03, 0.40, ["0.2", "0.2", "0.3"], ["59.95", "60.1", "60.2", "60.1"], "57.3", ["20.1", "20.0", "20.2", "20.2"], "2.01", "0.41")


def careless():
    """The error added, the spread over n, half the step, the manometer's error turned; the dial gauge inside its guard band."""
    a = attempt("Skilled hands in a hurry: signs and roots, and a dial gauge that passes by the skin of its teeth.",
                "IN-02", 0.4, 0.05, 0.60, ["0.5", "0.5", "0.4"], ["60.20", "60.5", "60.6", "60.5"], "50.0", ["20.3", "20.2", "20.4", "20.2"], "2.06", "0.61")
    a.put("t_true", "60.60", working="60.20 + 0.4 = 60.60")
    erred(a, ["60.20", "60.5", "60.6", "60.5"], 60.60, "50.0")
    a.put("m_sd", "0.083", working="√((0.025² + 0.075² + 0.125² + 0.075²) ÷ 4) = 0.083")
    a.put("m_u", "0.042", "mbar", "0.083 ÷ √4 = 0.042")
    a.put("u_d", "0.05", working="0.1 ÷ 2 = 0.05")
    a.put("m_err", "-0.275", working="20.00 − 20.275 = −0.275")
    added(a, 0.042, 0.05, 0.05, -0.275)
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "IN-03")
    a.given = {"e_ref": "0.1 K", "u_ref": "0.06 mbar", "R_ref": "0.55 Ω"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not, in most places.", "IN-04", 0.2, 0.04, 0.70, ["0.3", "0.3", "0.4"],
                ["60.10", "60.4", "60.5", "60.4"], "54.8", ["20.2", "20.1", "20.3", "20.1"], "2.02", "0.71")
    e = a.entries
    a.put("t_bench", "69.4 °F")
    a.put("t_true", "333.05 K", working=e["t_true"]["working"])
    a.put("e_test", e["e_test"]["text"], working=e["e_test"]["working"])
    a.put("m1", "2.02 kPa")
    a.put("m_sd", e["m_sd"]["text"] + " Pa", working=e["m_sd"]["working"])
    a.put("m_u", e["m_u"]["text"], "kPa", e["m_u"]["working"])
    a.put("u_all", fix(float(e["u_all"]["text"]) * 100, 1) + " Pa", working=e["u_all"]["working"])
    a.put("U_all", e["U_all"]["text"] + " bar")
    a.put("sure", fix(float(e["sure"]["text"]) / 100, 2))
    a.put("p_dial@as-left", "29.3 psi")
    a.put("R_m", "710 mΩ")
    a.put("R_err", "10", "mΩ")
    a.put("M_m", "1.02 kΩ")
    return a


def unsafe_order():
    a = attempt("Ice read at once, tight before it was zeroed, nobody at the tester's side, everything back into the store.",
                "IN-05", 0.1, 0.02, 0.30, ["0.4", "0.2", "0.3"], ["59.80", "60.0", "60.1", "60.1"], "48.2", ["19.9", "20.0", "20.1", "20.1"], "1.99", "0.30")
    a.put("assessment", "no")
    a.put("t_bench", "31.5")
    a.done("ice", "crush in first again", "09:00 09:02 09:03 09:06")
    a.done("zeroed", "level zero tight hold", "09:40 09:45 09:42 09:46")
    a.drop("nulled#apart")
    a.put("tagged", "all went back into the store")
    for slot in ("R_m", "M_m"):
        del a.checks[slot]
    return a


def half_done():
    a = attempt("Home after the manometer's readings: the thermometer is done, nothing else is worked out.", "IN-06", 0.4, 0.06, 0.75,
                ["0.1", "0.1", "0.1"], ["60.40", "60.2", "60.2", "60.1"], "52.6", ["20.0", "20.1", "20.1", "20.0"], "2.00", "0.76")
    e = a.entries["e_test"]
    a.put("e_test", e["text"], working=e["working"])  # the unit is asked for and left out
    a.drop("m_sd", "m_u", "u_d", "u_all", "U_all", "m_err", "sure", "p_dial@as-left", "nulled", "R_m", "R_err", "M_m", "tagged", "why_guard", "one_reading")
    a.checks = {}
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
