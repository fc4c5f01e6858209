"""Works and writes the example attempts at the brief fully-pumped. What each has to be told stands in expected.yaml."""
import math
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, area, fix, rho

LOOK = {"tf_found@as-found": "66.2", "coil_found@as-found": "48.1", "warm_found@as-found": "2.4"}
SAFE = ["isolation", "cool", "drained"]


def tube_for(qv):
    """The smallest tube that carries qv in L/min at 0.85 m/s at most."""
    for name, od, wall in (("15 × 0.7 mm", 15, 0.7), ("22 × 0.9 mm", 22, 0.9), ("28 × 0.9 mm", 28, 0.9)):
        if qv / 60000 / area(od, wall) <= 0.85:
            return name


def setting_for(qv, planned):
    if qv < 0.95 * planned:
        return "raise the pump one setting"
    return "leave the pump as it is" if qv <= 1.15 * planned else "lower the pump one setting"


def attempt(about, trainee, load, t_ret, qv, tf, tr):
    """A whole attempt without a fault: load in kW, t_ret in °C, three meter readings in L/min, flow and return as left."""
    a = Attempt(about, trainee, {"load": f"{load} kW", "t_ret": f"{t_ret} °C"})
    a.put("assessment", "yes")
    a.put("feeding", "by gravity alone")
    for slot, text in LOOK.items():
        a.put(slot, text)
    a.put("not_mine", "No cover comes off before it is proved dead with my tutor there, and the lock comes off with my tutor. For anything cracked or smelling I stop and call.")
    a.done("isolation", "find off prove line-neutral line-earth neutral-earth prove-again", "09:41 09:43 09:45 09:46 09:46 09:47 09:48")
    a.put("cool", "33.5")
    a.put("drained", "yes")
    dt = a.put("dt_design", str(70 - t_ret))
    qm = a.put("qm_design", fix(load / 4.18 / dt, 4), "kg/s", f"{load} ÷ (4.18 × {70 - t_ret}) = {fix(load / 4.18 / dt, 4)}")
    litre = fix(rho(t_ret) / 1000, 3)
    planned = a.put("qv_design", fix(qm / float(litre) * 60, 2), working=f"{qm} ÷ {litre} × 60 = {fix(qm / float(litre) * 60, 2)}")
    a.put("tube", tube_for(planned))
    a.put("vent_feed", "118")
    a.put("clip", "1460")
    a.put("last_return", "last before the boiler")
    a.put("lowest", "drain-off at the lowest point, vent at every high point")
    a.done("filling", "fill rinse refill tissue", "11:05 11:14 11:20 11:32")
    a.put("dry", "all dry after ten minutes with tissue")
    a.put("pump_set", "setting 2")
    for n, text in enumerate(qv, 1):
        a.put(f"qv#{n}@as-left", text)
    a.put("tf@as-left", tf)
    a.put("tr@as-left", tr)
    a.put("warm_left@as-left", "8.3")
    a.put("interlock", "boiler and pump stop")
    worked(a, load, qv, float(tf), float(tr), planned)
    a.done("watch", "out half hour", "10:52 11:24 11:55")
    a.put("clean", "yes")
    a.put("told", "Your cylinder used to warm by itself through the thick pipe, 2.4 degrees in ten minutes. Now the pump and a valve share the heat, and it gains 8.3. Turn both thermostats down: boiler and pump stop.")
    a.put("why_last", "Before the first radiator its return could push backwards through the others, and they would warm from the return end on a summer evening.")
    a.seen("cool")
    return a


def worked(a, load, qv, tf, tr, planned):
    """What follows from the readings as left."""
    mean, dt = sum(map(float, qv)) / 3, tf - tr
    a.put("dt_run", fix(dt, 1))
    flow = mean / 60000 * rho(tr)
    a.put("qm", fix(flow, 3), "kg/s", f"{fix(mean, 2)} ÷ 60 × {fix(rho(tr) / 1000, 4)} = {fix(flow, 3)}")
    heat = round(flow, 4) * 4.18 * round(dt, 1)
    a.put("heat", fix(heat, 2), "kW", f"{fix(flow, 4)} × 4.18 × {fix(dt, 1)} = {fix(heat, 2)}")
    v = mean / 60000 / area(22, 0.9)
    a.put("v_main", fix(v, 3), working=f"{fix(mean, 2)} ÷ 60000 ÷ (π × 0.0202² ÷ 4) = {fix(v, 3)}")
    a.put("share", fix(heat / load * 100, 1))
    a.put("setting", setting_for(mean, planned))


def good(about="Careful work: every line right, every safety-critical reading seen.", trainee="FP-01", load=7.25, t_ret=54):
    return attempt(about, trainee, load, t_ret, ["6.8", "6.7", "6.9"], "69.0", "53.5")


def careless():
    """Litres a second for litres a minute in the plan, a clip too few, two digits changed round in the heat."""
    a = attempt("Skilled hands in a hurry: slips in the figures, one clip too few, two readings that do not go together.",
                "FP-02", 8.25, 55, ["8.1", "8.0", "8.2"], "68.0", "54.0")
    qm = float(a.entries["qm_design"]["text"])
    a.put("qv_design", fix(qm / rho(55) * 1000, 3), working=f"{qm} ÷ 0.986 = {fix(qm / 0.986, 3)}")
    a.put("tube", "15 × 0.7 mm")  # as that figure has it
    a.put("clip", "1950")
    a.put("warm_left@as-left", "1.9")  # slower than as found
    heat = a.entries["heat"]
    digits = heat["text"]
    a.put("heat", digits[3] + digits[1:3] + digits[0], "kW", heat["working"][:-4] + digits[3] + digits[1:3] + digits[0])
    a.put("v_main", fix(8.1 / 60000 / (math.pi * 0.022 ** 2 / 4), 3), working=f"8.10 ÷ 60000 ÷ (π × 0.022² ÷ 4) = {fix(8.1 / 60000 / (math.pi * 0.022 ** 2 / 4), 3)}")
    a.put("setting", "lower the pump one setting")  # as that figure has it
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "FP-03")
    a.given = {"load": "8.0 kW", "t_ret": "57 °C"}
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not.", "FP-04", 6.5, 52, ["5.6", "5.5", "5.4"], "71.0", "53.0")
    e = a.entries
    a.put("qm_design", e["qm_design"]["text"], "kg/h", e["qm_design"]["working"])
    a.put("qv_design", e["qv_design"]["text"] + " L/s", working=e["qv_design"]["working"])
    a.put("vent_feed", "12.4")  # centimetres where millimetres are printed
    a.put("qm", e["qm"]["text"], "L/s", e["qm"]["working"])
    factors = e["heat"]["working"].replace("4.18", "4180").split(" = ")[0]
    watts = fix(math.prod(float(x) for x in factors.split(" × ")), 0)
    a.put("heat", watts, "kW", f"{factors} = {watts}")
    a.put("v_main", fix(float(e["v_main"]["text"]) * 100, 1) + " cm/s", working=e["v_main"]["working"])
    a.put("cool", "92.3 °F")
    a.put("pump_set", "2")
    return a


def unsafe_order():
    a = attempt("The tester was not proved again until after the joint was opened, and the joint was opened hot.", "FP-05", 7.5, 56, ["7.9", "7.9", "8.0"], "66.5", "53.0")
    a.done("isolation", "find off prove line-neutral line-earth neutral-earth prove-again", "09:41 09:43 09:47 09:45 09:46 09:46 10:40")
    a.put("cool", "58.0")
    a.drop("drained")
    a.put("last_return", "between two radiators")
    a.done("filling", "fill rinse refill tissue", "11:05 11:14 11:20 11:23")
    a.put("interlock", "boiler keeps firing")
    return a


def half_done():
    a = attempt("Home before the rig ran: the pipe is in, nothing is filled, and the last clip was not measured.", "FP-06", 7.0, 53, ["6.0", "6.0", "6.0"], "70.0", "54.0")
    qm = a.entries["qm_design"]
    a.put("qm_design", qm["text"], working=qm["working"])  # the unit is asked for and left out
    a.drop("clip", "filling", "dry", "pump_set", "qv", "tf", "tr", "warm_left", "interlock", "dt_run", "qm", "heat", "v_main", "share", "setting", "watch", "clean", "told", "why_last")
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
