#!/usr/bin/python3
"""Writes services_rows.csv: hot water, gas, combustion and electrical figures worked from published formulas in 40-digit
decimals, each from another end than the project's functions where there is one.

    python3 testdata/trade/services_oracle.py > testdata/trade/services_rows.csv

Only the standard library serves. Inputs stand in the units that the functions declare, as do the values; within is the
relative difference to allow for.
"""
import csv
import sys
from decimal import Decimal as D
from decimal import getcontext

getcontext().prec = 40
GAS = D("8.31446261815324")  # J/(mol·K), exact since 2019: SI Brochure, 9th edition
ZERO = D("273.15")


ROUNDING = "1e-13"  # what float64 may make of a handful of steps

out = csv.writer(sys.stdout, lineterminator="\n")


def figure(x):
    """As stated, or to 18 digits, which is more than float64 holds."""
    return x if isinstance(x, str) else f"{x:.18g}" if x else "0"


def row(function, value, source, within=ROUNDING, **inputs):
    text = "; ".join(f"{name}={figure(x)}" for name, x in inputs.items())
    out.writerow([function, text, figure(value), within, source])


def moles(volume, p, t):
    """pV = nRT: m³, Pa absolute, °C."""
    return D(p) * D(volume) / (GAS * (D(t) + ZERO))


def reference(volume, mbar, t):
    """The amount of gas in the meter, and the room that it takes at ISO 13443's 15 °C and 101.325 kPa."""
    n = moles(volume, D(mbar) * 100, t)
    row("reference_volume", n * GAS * (15 + ZERO) / 101325, "pV = nRT; ISO 13443:1996", V=volume, p=mbar, t=t)


def leak(volume, drop, time, mbar):
    """The amount that is missing after the drop, and the room that it takes in the air, at any one temperature."""
    gone = moles(volume, (D(mbar) + 20) * 100, 17) - moles(volume, (D(mbar) + 20 - D(drop)) * 100, 17)
    row("leak_rate", gone * GAS * (17 + ZERO) / (D(mbar) * 100) / D(time) * 3600, "pV = nRT", IV=volume, dp=drop, time=time, p=mbar)


def pole(flow, length, density, bore):
    """Pole's formula both ways; the drop from its root form, squared."""
    capacity = D("0.0071") * (D(bore) ** 5 / (D(density) * D(length))).sqrt()  # m³/h at 1 mbar
    drop = (D(flow) / capacity) ** 2
    row("pole_drop", drop, "Pole (1852); metric constant from memory", Q=flow, L=length, S=density, bore=bore)
    row("pole_flow", capacity * D("0.75").sqrt(), "Pole (1852); metric constant from memory", dp="0.75", L=length, S=density, bore=bore)


def burning(carbon, hydrogen, ratio):
    """CxHy burnt completely with so many times the air it needs, counted atom by atom: dry moles of a mole of fuel."""
    nitrogen = D("79.1") / D("20.9")
    oxygen = D(carbon) + D(hydrogen) / 4
    left = oxygen * (D(ratio) - 1)
    dry = D(carbon) + left + oxygen * D(ratio) * nitrogen
    greatest = D(carbon) / (D(carbon) + oxygen * nitrogen)
    return left / dry, D(carbon) / dry, greatest


def flue(carbon, hydrogen, ratio):
    """CO2 from O2 exactly. The trade's air ratio takes dry gas for air, so its excess is the true one times the air needed
    over the dry gas made of it."""
    o2, co2, greatest = burning(carbon, hydrogen, ratio)
    counted = f"atoms of C{carbon}H{hydrogen} in air with 20.9 % O2 counted at air ratio {ratio}"
    row("co2_from_o2", 100 * co2, counted, O2=100 * o2, CO2max=100 * greatest)
    air = (D(carbon) + D(hydrogen) / 4) / D("0.209")
    row("excess_air", 1 + (D(ratio) - 1) * air / (D(carbon) / greatest), counted, O2=100 * o2)


def balance(ratio, tf, ta):
    """Siegert's formula against the heat that methane's flue gas carries off, gas by gas: mean volumetric heat capacities
    between 0 and 150 °C and the net calorific value, from memory, kJ/(m³·K) and kJ/m³ at 0 °C."""
    o2, co2, _ = burning(1, 4, ratio)
    dry = 1 / co2  # m³ of a m³ of methane
    heat = D("1.72") + dry * (o2 * D("1.32") + (1 - o2 - co2) * D("1.30")) + 2 * D("1.51")
    row("flue_loss", 100 * heat * (D(tf) - D(ta)) / 35883, "heat balance of methane's flue gas; heat capacities from memory",
        "0.03", tF=tf, tA=ta, O2=100 * o2, A2="0.66", B="0.009")


def siegert(tf, ta, o2, a2, b):
    loss = D(a2) * (D(tf) - D(ta)) / (21 - D(o2)) + D(b) * (D(tf) - D(ta))
    row("flue_loss", loss, "1. BImSchV annex 2 (from memory), multiplied out", tF=tf, tA=ta, O2=o2, A2=a2, B=b)


def copper(length, area, t):
    """Annealed copper has 1/58 Ω·mm²/m at 20 °C; the coefficient is 0.00393 there (IEC 60028, from memory). Line and
    protective conductor of the same size make twice that."""
    metre = 1000 / (58 * D(area))
    factor = (D("0.00393") * (D(t) - 20) + 1)
    r20 = metre * D(length) / 1000
    row("conductor", r20 * factor, "1/58 Ω·mm²/m and 0.00393 1/K: IEC 60028 (from memory)", R20=r20, t=t)
    row("r1r2", 2 * r20 * factor, "the same", r=2 * metre, L=length, t=t)


def fault(current, time, k):
    """The heat I²t against k²S²."""
    row("adiabatic", (D(current) ** 2 * D(time) / D(k) ** 2).sqrt(), "IEC 60364-5-54 (formula from memory): k²S² = I²t", I=current, time=time, k=k)


def mix(volume, th, tc, tm):
    """Hot and cold volumes whose heats balance: the cold one from the balance, then share and sum."""
    cold = D(volume) * (D(th) - D(tm)) / (D(tm) - D(tc))
    row("hot_share", D(volume) / (D(volume) + cold), "energy balance", th=th, tc=tc, tm=tm)
    row("mixed_volume", D(volume) + cold, "energy balance", V=volume, th=th, tc=tc, tm=tm)


out.writerow(["function", "inputs", "value", "within", "source"])
for v, p, t in [("1", "1013.25", "15"), ("1", "1034.25", "12"), ("0.074", "1026.1", "12.2"), ("37.6", "987.4", "-8.5"), ("0.186", "1500", "31")]:
    reference(v, p, t)
for v, dp, s, p in [("0.011784", "2", "120", "1013.25"), ("0.0297", "7.5", "120", "1013.25"), ("0.005", "0.5", "60", "962"), ("0.035", "0", "120", "1041")]:
    leak(v, dp, s, p)
for q, l, s, d in [("2.9", "11.5", "0.6", "20.2"), ("0.672", "15.6", "0.59", "26"), ("5.8", "3", "0.6", "13.6"), ("1.2", "28", "1.52", "8.8")]:
    pole(q, l, s, d)
for c, h in [(1, 4), (3, 8)]:
    for ratio in ["1", "1.05", "1.298", "2"]:
        flue(c, h, ratio)
for x in [("58.5", "19.2", "4.8", "0.66", "0.009"), ("180", "5", "9", "0.66", "0.009"), ("212", "18.4", "6.1", "0.68", "0.007"), ("45", "30", "0", "0.65", "0")]:
    siegert(*x)
for ratio, tf, ta in [("1.1", "150", "20"), ("1.298", "120", "15"), ("1.6", "180", "10")]:
    balance(ratio, tf, ta)
for l, a, t in [("18", "1.5", "70"), ("100", "2.5", "20"), ("7.3", "1", "5"), ("41", "10", "90"), ("12", "6", "-10")]:
    copper(l, a, t)
for i, s, k in [("218", "0.1", "115"), ("1996", "2.77", "118"), ("50", "0.01", "143"), ("630", "5", "76")]:
    fault(i, s, k)
for v, th, tc, tm in [("118", "58", "10", "40"), ("137", "56.3", "7.84", "40"), ("9", "60", "12", "41"), ("80", "65", "5", "38")]:
    mix(v, th, tc, tm)
