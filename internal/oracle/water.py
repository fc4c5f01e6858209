#!/usr/bin/python3
"""Works the rows of a check table of water again with Debian's python3-iapws, and prints one figure a line in the row's unit.

    /usr/bin/python3 water.py ../../testdata/trade/water_properties.csv

The state is worked out by the library's own IAPWS97, which finds the region by itself.
"""
import csv
import sys

from iapws import IAPWS97
from iapws._iapws import _Viscosity
from iapws.iapws97 import _PSat_T, _TSat_P


def inputs(text):
    """Numbers by name of "t=5 degC; p=0.25 MPa abs (…)"."""
    pairs = (part.strip().split("=") for part in text.split(";"))
    return {name: float(rest.split()[0]) for name, rest in pairs}


def at(celsius, p):
    return IAPWS97(T=celsius + 273.15, P=p)


def expansion(i):
    return 100 * (at(10, i["p"]).rho / at(i["t"], i["p"]).rho - 1)


def mean_cp(i):
    t1, t2 = i["t1"], i["t2"]
    return 1e3 * (at(t2, i["p"]).h - at(t1, i["p"]).h) / (t2 - t1)


QUANTITIES = {
    "IF97 R1 v": lambda i: IAPWS97(T=i["T"], P=i["p"]).v,
    "IF97 R1 h": lambda i: IAPWS97(T=i["T"], P=i["p"]).h,
    "IF97 R1 cp": lambda i: IAPWS97(T=i["T"], P=i["p"]).cp,
    "IF97 R1 s": lambda i: IAPWS97(T=i["T"], P=i["p"]).s,
    "IF97 R1 w": lambda i: IAPWS97(T=i["T"], P=i["p"]).w,
    "IF97 psat": lambda i: _PSat_T(i["T"]),
    "IF97 Tsat": lambda i: _TSat_P(i["p"]),
    "IAPWS viscosity mu2=1": lambda i: 1e6 * _Viscosity(i["rho"], i["T"]),
    "density": lambda i: at(i["t"], i["p"]).rho,
    "cp": lambda i: 1e3 * at(i["t"], i["p"]).cp,
    "specific_enthalpy": lambda i: 1e3 * at(i["t"], i["p"]).h,
    "dynamic_viscosity": lambda i: at(i["t"], i["p"]).mu,
    "kinematic_viscosity": lambda i: at(i["t"], i["p"]).nu,
    "thermal_conductivity": lambda i: at(i["t"], i["p"]).k,
    "expansion_from_10C": expansion,
    "mean_cp": mean_cp,
}

with open(sys.argv[1], encoding="utf-8") as f:
    for row in csv.DictReader(f):
        print(repr(float(QUANTITIES[row["quantity"]](inputs(row["inputs"])))))
