#!/usr/bin/python3
"""Works the rows of uncertainty's check.csv again with python3-uncertainties and scipy, and prints one figure a line.

    /usr/bin/python3 uncertain.py ../uncertainty/testdata/check.csv

Data of JCGM 100:2008, annexes H.1 to H.3, from memory.
"""
import csv
import math
import sys

import numpy as np
from scipy.stats import norm, t
from uncertainties import correlated_values, correlation_matrix, ufloat, umath

VOLTS = [5.007, 4.994, 5.005, 4.990, 4.999]
AMPS = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]
PHASES = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]
BATH = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
CORRECTIONS = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160])


def welch(lines):
    """Effective degrees of freedom of independent (u, degrees) lines."""
    return sum(u**2 for u, _ in lines) ** 2 / sum(u**4 / dof for u, dof in lines)


def resistances():
    """H.2: V, I and φ read together; the covariance of their means goes through V/I·cos φ and the like."""
    read = np.array([VOLTS, AMPS, PHASES])
    v, i, phi = correlated_values(read.mean(axis=1), np.cov(read) / read.shape[1])
    alone = [ufloat(x.nominal_value, x.std_dev) for x in (v, i, phi)]
    r, x, z = v / i * umath.cos(phi), v / i * umath.sin(phi), v / i
    ways = correlation_matrix([v, i, phi])
    return {
        "mean V": v.nominal_value, "s(V)": v.std_dev, "mean I": 1e3 * i.nominal_value, "s(I)": 1e3 * i.std_dev,
        "mean phi": phi.nominal_value, "s(phi)": phi.std_dev,
        "r(V,I)": ways[0][1], "r(V,phi)": ways[0][2], "r(I,phi)": ways[1][2],
        "R": r.nominal_value, "u(R)": r.std_dev, "X": x.nominal_value, "u(X)": x.std_dev, "Z": z.nominal_value, "u(Z)": z.std_dev,
        "u(R) if correlation ignored": (alone[0] / alone[1] * umath.cos(alone[2])).std_dev,
    }


def gauge_block():
    """H.1: independent lines of the budget."""
    lines = [(25, 18), (9.7, 25.6), (2.9, 50), (16.6, 2)]
    u = sum(ufloat(0, u) for u, _ in lines).std_dev
    d = [(5.8, 24), (3.9, 5), (6.7, 8)]
    k = t.ppf(0.995, math.floor(welch(lines)))
    return {"u(d)": sum(ufloat(0, u) for u, _ in d).std_dev, "uc(l)": u, "nu_eff": welch(lines), "nu_eff(d)": welch(d), "U99": k * u}


def calibration():
    """H.3: a straight line through corrections of a thermometer, counted from 20 °C."""
    a = np.column_stack([np.ones(len(BATH)), BATH - 20])
    fit, rest, _, _ = np.linalg.lstsq(a, CORRECTIONS, rcond=None)
    s2 = rest[0] / (len(BATH) - 2)
    y1, y2 = correlated_values(fit, s2 * np.linalg.inv(a.T @ a))
    at30 = y1 + y2 * 10
    return {"y1": y1.nominal_value, "s(y1)": y1.std_dev, "y2": y2.nominal_value, "s(y2)": y2.std_dev, "s": math.sqrt(s2),
            "r(y1,y2)": correlation_matrix([y1, y2])[0][1], "b(30)": at30.nominal_value, "u(b(30))": at30.std_dev}


def conformance(text):
    y, u, low, high = (None if v.endswith("None") else float(v.split("=")[1]) for v in text.split(";"))
    return norm.cdf((high - y) / u) - (norm.cdf((low - y) / u) if low is not None else 0)


FIXED = {"t_99(16)": t.ppf(0.995, 16), "guard band w=U: specific risk at AL": norm.sf(2), "guard band w=0.83U: specific risk at AL": norm.sf(1.66),
         "guard band w=0: specific risk at AL": norm.sf(0), "rectangular divisor": 1 / math.sqrt(3), "resolution d=1 -> u": 1 / math.sqrt(12),
         "triangular divisor": 1 / math.sqrt(6)}
for clause, found in (("H.1", gauge_block()), ("H.2", resistances()), ("H.3", calibration())):
    FIXED |= {f"GUM {clause} {name}": value for name, value in found.items()}


def figure(quantity, given):
    if quantity.startswith("t quantile p="):
        covered = float(quantity.removeprefix("t quantile p=").rstrip("%")) / 100
        return t.ppf((1 + covered) / 2, int(given.removeprefix("dof=")))
    if quantity.startswith("conformance"):
        return conformance(given)
    return FIXED[quantity]


with open(sys.argv[1], encoding="utf-8") as f:
    for row in csv.DictReader(f):
        print(repr(float(figure(row["quantity"], row["inputs"]))))
