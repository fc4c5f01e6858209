#!/usr/bin/python3
"""Writes water_grid.csv: what Debian's python3-iapws makes of a grid of liquid states, to full precision.

    /usr/bin/python3 testdata/trade/water_oracle.py > testdata/trade/water_grid.csv

The library's own region 1 and saturation line serve, so that states on the saturation line are answered too. Temperatures
are in kelvin, pressures in pascal absolute, the rest in SI base units.
"""
from iapws import __version__, iapws97
from iapws._iapws import _ThCond, _Viscosity

KELVIN = [273.15, 274.15, 277.13, 283.15, 293.15, 303.15, 313.15, 323.15, 324.45, 333.15, 333.7, 343.15, 353.15, 363.15,
          368.15, 373.15, 393.15, 423.15, 473.15, 523.15, 573.15, 623.15]
MPA = [0.1, 0.101325, 0.25, 0.6, 1.0, 3.0, 10.0, 22.0, 50.0, 80.0, 100.0]


class Phase:
    """What _ThCond asks of a state."""


def state(t, p):
    r = iapws97._Region1(t, p)
    phase = Phase()
    phase.rho = 1 / r["v"]
    phase.cp = r["cp"]
    phase.cp_cv = r["cp"] / r["cv"]
    phase.drhodP_T = phase.rho * r["kt"]
    phase.mu = _Viscosity(phase.rho, t)
    k = _ThCond(phase.rho, t, phase)
    return [t, p * 1e6, r["v"], phase.rho, r["h"] * 1e3, r["s"] * 1e3, r["cp"] * 1e3, r["cv"] * 1e3, r["w"], phase.mu, k,
            iapws97._PSat_T(t) * 1e6]


print(f"# python3-iapws {__version__}: _Region1, _PSat_T, _Viscosity, _ThCond")
print("t,p,v,rho,h,s,cp,cv,w,mu,k,psat")
for t in KELVIN:
    for p in MPA:
        if p >= iapws97._PSat_T(t):
            print(",".join(repr(float(x)) for x in state(t, p)))
