#!/usr/bin/python3
"""Works the rows of friction.csv again and prints two figures a line: the friction factor with 30 digits and more from Python's
decimal, and python3-fluids' where it has one.

    /usr/bin/python3 friction.py ../../testdata/trade/friction.csv

Colebrook's equation x = −2·log10(k/3.7 + 2.51·x/Re), x = 1/√f, is solved by Newton's method in 50 digits, from 8 on: its left
side less its right one rises and bends upwards, so every step but the first comes from above.
"""
import csv
import sys
from decimal import Decimal as D
from decimal import getcontext

from fluids import friction

getcontext().prec = 50


def colebrook(re, k):
    x = D(8)
    for _ in range(60):
        inside = k / D("3.7") + D("2.51") * x / re
        rest = x + 2 * inside.log10()
        step = rest / (1 + 2 * D("2.51") / re / (inside * D(10).ln()))
        x -= step
        if abs(step) < D("1e-45"):
            return 1 / (x * x)
    raise ArithmeticError(f"no root at Re {re}, k/d {k}")


def haaland(re, k):
    rough = (k / D("3.7")) ** D("1.11") if k else D(0)
    return 1 / (D("1.8") * (rough + D("6.9") / re).log10()) ** 2


with open(sys.argv[1], encoding="utf-8") as f:
    for row in csv.DictReader(f):
        given = dict(part.strip().split("=") for part in row["inputs"].split(";"))
        re, k = D(float(given["Re"])), D(float(given.get("rel_roughness", 0)))
        match row["quantity"]:
            case "colebrook_darcy_f":
                print(colebrook(re, k), repr(friction.Colebrook(float(re), float(k))))
            case "haaland_darcy_f":
                print(haaland(re, k), repr(friction.Haaland(float(re), float(k))))
            case "laminar_darcy_f":
                print(64 / re, repr(friction.friction_laminar(float(re))))
            case other:
                raise ValueError(f"nothing is known of {other}")
