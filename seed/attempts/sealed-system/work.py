"""Works and writes the example attempts at the brief sealed-system. What each has to be told stands in expected.yaml."""
import math
import os
import sys

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from work import Attempt, area, fix, rho

SIZES = (5, 8, 12, 18, 25)
G = 9.80665


class Job:
    """One trainee's rig: lengths in m, contents in L, height in m, coil in kW, fill water in °C, pressures in bar (gauge)."""

    def __init__(self, L22, L15, V_rad, h, V_cyl, P_coil, t_fill, start="4.70", end="4.68", beyond=0.05):
        self.L22, self.L15, self.V_rad, self.h, self.V_cyl, self.P_coil = L22, L15, V_rad, h, V_cyl, P_coil
        self.t_fill, self.start, self.end, self.beyond = t_fill, start, end, beyond

    def given(self):
        return {"L22": f"{self.L22} m", "L15": f"{self.L15} m", "V_rad": f"{self.V_rad} L", "h_static": f"{self.h} m", "V_cyl": f"{self.V_cyl} L", "P_coil": f"{self.P_coil} kW"}


def attempt(about, trainee, job):
    """A whole attempt without a fault, every figure worked from the one before it as written down."""
    a = Attempt(about, trainee, job.given())
    survey(a, job)
    cylinder(a, job)
    V_exp, p_charge, V = size(a, job)
    V_fit = fit(a, job, p_charge, V)
    fill(a, job, V_exp, V_fit)
    return a


def survey(a, job):
    a.put("assessment", "yes")
    a.done("off", "lock prove cold water", "09:20 09:26 09:29 09:41")
    a.put("t_fill", str(job.t_fill))
    a.done("imm_off", "find lock prove pairs prove-again", "09:44 09:46 09:47 09:49 09:50")
    a.put("t_drain", "23.0")
    a.seen("t_drain", "bond", "p0@as-left", "p_start", "p_end", "pa@as-left", "t_hot_f@as-left", "p_hot@as-left", "t_cyl@as-left")


def cylinder(a, job):
    a.done("cyl_drained", "supply air hose empty", "09:58 09:59 10:01 10:19")
    a.put("lift", "yes")
    a.put("bond", "0.02")
    a.put("cyl_full", "full to the highest tap, all dry after ten minutes")
    a.put("imm_locked", "locked off until water ran from the highest hot tap, and still locked")
    dt = 60 - job.t_fill
    kg = fix(rho(job.t_fill) / 1000, 3)
    E = a.put("E_cyl", fix(job.V_cyl * float(kg) * 4.18 * dt / 3600, 2), "kWh",
              f"{job.V_cyl} × {kg} × 4.18 × (60 − {job.t_fill}) ÷ 3600 = {fix(job.V_cyl * float(kg) * 4.18 * dt / 3600, 2)}")
    a.put("t_heat", fix(E / job.P_coil * 60, 1), working=f"{E} ÷ {job.P_coil} × 60 = {fix(E / job.P_coil * 60, 1)}")


def size(a, job):
    V = a.put("V_sys", fix(area(22, 0.9) * 1000 * job.L22 + area(15, 0.7) * 1000 * job.L15 + job.V_rad + 6.2, 1),
              working=f"{job.L22} × 0.3205 + {job.L15} × 0.1453 + {job.V_rad} + 6.2 = {fix(0.3205 * job.L22 + 0.1453 * job.L15 + job.V_rad + 6.2, 1)}")
    share = rho(job.t_fill) / rho(75) - 1
    V_exp = a.put("V_exp", fix(V * share, 2), "L", f"{V} × ({fix(rho(job.t_fill), 1)} ÷ {fix(rho(75), 1)} − 1) = {fix(V * share, 2)}")
    p = a.put("p_charge", fix(job.h * 1000 * G / 1e5 + 0.3, 2), working=f"{job.h} × 1000 × 9.81 ÷ 100000 + 0.3 = {fix(job.h * 0.0981 + 0.3, 2)}")
    least = (V_exp + 3) * 3.5 / (2.5 - p)
    a.put("V_vessel", fix(least, 1), working=f"({V_exp} + 3) × 3.5 ÷ (3.5 − {fix(p + 1, 2)}) = {fix(least, 1)}")
    a.put("vessel_size", f"{next(s for s in SIZES if s >= 1.1 * least)} L")  # one larger where it is tight
    return V_exp, p, V


def fit(a, job, p_charge, V):
    fitted = int(a.entries["vessel_size"]["text"].split()[0])
    a.put("V_fitted", str(fitted))
    a.put("p0@as-found", "1.50")
    a.put("p0@as-left", fix(p_charge, 2))
    a.done("test_run", "low up settle end", "11:32 11:40 11:51 12:22")
    a.put("p_start", job.start)
    a.put("p_end", job.end)
    a.put("p_drop", fix(float(job.start) - float(job.end), 2))
    a.put("joint_made_good", "nothing leaked")
    a.put("blanks", "all three blanks back on their hooks")
    a.put("bottles", "one bottle" if V <= 50 else "two bottles")
    return fitted


def fill(a, job, V_exp, V_fit):
    p0 = float(a.entries["p0@as-left"]["text"])
    p_fill = (p0 + 1) * V_fit / (V_fit - 3) - 1
    a.put("p_fill", fix(p_fill, 2), working=f"{fix(p0 + 1, 2)} × {V_fit} ÷ ({V_fit} − 3) − 1 = {fix(p_fill, 2)}")
    pa = math.ceil(p_fill * 20 - 1e-9) / 20
    a.put("pa@as-left", fix(pa, 2))
    gas = V_fit * (p0 + 1) / (pa + 1)
    p_hot = a.put("p_predict", fix((pa + 1) * gas / (gas - V_exp) - 1, 2),
                  working=f"{V_fit} × {fix(p0 + 1, 2)} ÷ {fix(pa + 1, 2)} = {fix(gas, 2)}\n{fix(pa + 1, 2)} × {fix(gas, 2)} ÷ ({fix(gas, 2)} − {V_exp}) − 1 = {fix((pa + 1) * gas / (gas - V_exp) - 1, 2)}")
    a.done("heat_up", "locks first steady store", "14:02 14:13 14:41 15:20")
    a.put("t_hot_f@as-left", "79.0")
    a.put("t_hot_r@as-left", "69.5")
    a.put("p_hot@as-left", fix(p_hot + job.beyond, 2))
    a.put("p_gap", fix(round(p_hot + job.beyond, 2) - p_hot, 2))
    a.put("verdict", "prediction and gauge agree as well as this gauge can show")
    a.put("t_cyl@as-left", "61.0")
    a.put("relief", "opens, runs clear to the tundish, shuts tight")
    a.put("handed", f"Cold the needle stands at {fix(pa, 1)} bar, hot near {fix(p_hot, 1)} bar. Below 0.8 bar cold: top up through the loop, then take it off again. Near 3 bar, or water at the tundish: switch off, call, touch nothing.")
    a.put("why_charge", "The gauge shows the water and not the gas. With no gas left the vessel is full, and the valve lifts when it heats.")


def good(about="Careful work: every line right, every safety-critical reading seen.", trainee="SS-01"):
    return attempt(about, trainee, Job(14.5, 22, 36.5, 3.2, 130, 6.75, 10.5))


def careless():
    """Boiler for coil, outside diameters for bores, gauge for absolute; the next figures follow from what is on the sheet."""
    job = Job(18.0, 29, 38.0, 3.9, 145, 6.0, 11.5)
    a = attempt("Skilled hands in a hurry: the boiler's output for the coil's, outside diameters for bores, gauge for absolute.", "SS-02", job)
    E = float(a.entries["E_cyl"]["text"])
    a.put("t_heat", fix(E / 9 * 60, 1), working=f"{E} ÷ 9 × 60 = {fix(E / 9 * 60, 1)}")
    V = math.pi / 4 * (0.484 * job.L22 + 0.225 * job.L15) + job.V_rad + 6.2
    a.put("V_sys", fix(V, 1), working=f"{job.L22} × 0.380 + {job.L15} × 0.177 + {job.V_rad} + 6.2 = {fix(V, 1)}")
    share = rho(job.t_fill) / rho(75) - 1
    V_exp = a.put("V_exp", fix(round(V, 1) * share, 2), "L", f"{fix(V, 1)} × ({fix(rho(job.t_fill), 1)} ÷ {fix(rho(75), 1)} − 1) = {fix(round(V, 1) * share, 2)}")
    p = float(a.entries["p_charge"]["text"])
    gauge = (V_exp + 3) * 2.5 / (2.5 - p)
    a.put("V_vessel", fix(gauge, 1), working=f"({V_exp} + 3) × 2.5 ÷ (2.5 − {p}) = {fix(gauge, 1)}")
    a.put("vessel_size", "8 L")  # as that figure has it: the true value asks for 12 L
    a.put("cyl_full", "one weeps, made good, then dry")
    a.put("bottles", "three bottles")
    return a


def copied():
    """The good attempt's entries under another trainee's givens."""
    a = good("Somebody else's sheet, readings and figures to the digit, under this trainee's own givens.", "SS-03")
    a.given = Job(19.5, 28, 29.0, 2.8, 110, 7.25, 10.5).given()
    return a


def wrong_units():
    a = attempt("The digits are right and the units are not.", "SS-04", Job(13.0, 20, 33.0, 3.0, 120, 7.0, 9.0))
    e = a.entries
    a.put("E_cyl", e["E_cyl"]["text"], "kW", e["E_cyl"]["working"])
    a.put("t_heat", fix(float(e["E_cyl"]["text"]) / 7 * 60, 1) + " s", working=e["t_heat"]["working"])
    a.put("V_exp", e["V_exp"]["text"], "m³", e["V_exp"]["working"])
    p = float(e["p_charge"]["text"])
    a.put("p_charge", fix(p * 100, 0) + " kPa", working=e["p_charge"]["working"])  # right: a kilopascal is a unit of pressure
    a.put("p_start", fix(float(e["p_start"]["text"]), 2) + " mbar")
    a.put("p_end", "68.0 psi")  # 4.69 bar
    a.put("bond", "20", "mΩ")  # right
    a.put("p_drop", fix(4.70 - 68.0 * 0.0689475729, 2))  # of what the gauge showed
    a.put("p_hot@as-left", e["p_hot@as-left"]["text"] + " m")
    return a


def unsafe_order():
    a = attempt("Lock for the boiler alone, cylinder emptied without air, test cut short, a blank not counted back.", "SS-05", Job(15.0, 25, 30.5, 3.5, 125, 6.5, 12.0))
    a.done("imm_off", "find prove pairs prove-again lock", "09:44 09:47 09:49 09:50 10:32")
    a.done("cyl_drained", "supply hose empty air", "09:58 09:59 10:13 10:15")
    a.put("t_drain", "52.5")
    a.put("imm_locked", "switched on with the cylinder not yet full")
    a.done("test_run", "low up settle end", "11:32 11:40 11:44 11:59")
    a.put("blanks", "a blank is missing")
    a.drop("lift")
    a.done("heat_up", "locks first steady store", "14:02 14:05 14:41 15:20")
    return a


def half_done():
    a = attempt("Vessel and cylinder are in, the test has been pumped up and not read to its end.", "SS-06", Job(12.5, 19, 34.0, 3.7, 135, 6.25, 10.0))
    e = a.entries["V_exp"]
    a.put("V_exp", e["text"], working=e["working"])  # the unit is asked for and left out
    a.drop("t_heat", "test_run#end", "p_end", "p_drop", "joint_made_good", "blanks", "bottles", "p_fill", "pa", "p_predict", "heat_up", "t_hot_f", "t_hot_r",
           "p_hot", "p_gap", "verdict", "t_cyl", "relief", "handed", "why_charge")
    for slot in ("p_end", "pa@as-left", "t_hot_f@as-left", "p_hot@as-left", "t_cyl@as-left"):
        del a.checks[slot]
    return a


for kind, make in {"good": good, "careless": careless, "copied": copied, "wrong-units": wrong_units, "unsafe-order": unsafe_order, "half-done": half_done}.items():
    make().write(__file__, kind)
