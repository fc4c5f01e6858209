#!/usr/bin/python3
"""Writes friction_exact.csv: Colebrook's and Haaland's friction factors to 20 figures, worked in 50.

    python3 testdata/trade/friction_oracle.py > testdata/trade/friction_exact.csv

Only Python's own decimal is used. Reynolds number and relative roughness are taken at the exact value of the
floating-point number that they are read as. Colebrook's equation x + 2·log10(k/3.7 + 2.51·x/Re) = 0, x = 1/√f, is solved by
halving an interval, which needs no derivative and cannot stop early.
"""
from decimal import Decimal as D, getcontext

getcontext().prec = 50

RE = [2300.0, 2500.0, 3160.0, 4000.0, 7500.0, 1e4, 27450.0, 5e4, 123456.0, 1e6, 3.3e7, 1e8]
ROUGH = [0.0, 1e-6, 7.425742574257426e-05, 1e-4, 5e-4, 0.00333, 0.01, 0.05]


def colebrook(re, k):
    lo, hi = D(1), D(20)  # f between 1 and 0.0025

    def rest(x):
        return x + 2 * (k / D("3.7") + D("2.51") * x / re).log10()

    assert rest(lo) < 0 < rest(hi)
    for _ in range(140):
        x = (lo + hi) / 2
        if rest(x) < 0:
            lo = x
        else:
            hi = x
    return 1 / lo**2


def haaland(re, k):
    rough = (k / D("3.7")) ** D("1.11") if k else D(0)
    return 1 / (D("1.8") * (rough + D("6.9") / re).log10()) ** 2


print("# Python's decimal, 50 digits; 20 figures kept")
print("Re,k/bore,colebrook,haaland")
for re in RE:
    for k in ROUGH:
        row = (f"{fn(D(re), D(k)):.20g}" for fn in (colebrook, haaland))
        print(re, k, *row, sep=",")
