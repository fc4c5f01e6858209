#!/usr/bin/python3
"""Writes normal.csv: the share of the normal distribution below z, by Debian's mpmath with 40 digits.

    /usr/bin/python3 testdata/trade/normal_oracle.py > testdata/trade/normal.csv
"""
from mpmath import mp, mpf, ncdf, nstr

mp.dps = 40
Z = ["-37", "-30", "-20", "-12", "-9", "-8.5", "-7", "-6", "-5.5", "-5.000001", "-5", "-4.999999", "-4.5", "-4", "-3.5", "-3", "-2.5",
     "-2.416666", "-2", "-1.66", "-1.5", "-1", "-0.75", "-0.5", "-0.25", "-0.1", "-0.01", "-1e-8", "0", "1e-8", "0.01", "0.1", "0.25",
     "0.5", "0.75", "1", "1.2", "1.4", "1.5", "1.66", "2", "2.416666", "2.5", "3", "3.5", "4", "4.5", "4.999999", "5", "5.000001", "6",
     "7", "8", "9", "12"]

print("z,share below")
for z in Z:
    # the value of the floating-point number that z is read as
    print(z, nstr(ncdf(mpf(float(z))), 25), sep=",")
