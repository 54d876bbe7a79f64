"""Uncertainties of translated values by the PyPI package `uncertainties` (3.2.3).

Writes translations.csv beside this file: one row a point of a divider R1 over R2 on a supply,
read through a manual's meter of g0 and carried to a bench meter of g1,

    y = V_m (1 + g0 R) / (1 + g1 R),    R = R1 R2 / (R1 + R2)

(the supply drops out where both meters find the same set). The package differentiates this by
itself; the inputs are independent, each of a rectangular spread, u = a/sqrt(3). The bench meter's
permitted error is one more input, added.

    python3 -m venv env && env/bin/pip install uncertainties==3.2.3
    env/bin/python translations.py
"""

import csv
import pathlib
from math import sqrt

from uncertainties import ufloat

# ohms per volt or None, full scale or ohms, share of full scale
SERVICE = {"20k/V": 20e3, "1k/V": 1e3, "5k/V": 5e3}

ROWS = [
    # R1, its share, R2, its share, printed, last digit, manual meter, its range
    (220e3, 0.10, 470e3, 0.10, "145", 1.0, "20k/V", 250.0),
    (220e3, 0.10, 470e3, 0.10, "120", 1.0, "1k/V", 250.0),
    (1e6, 0.20, 1e6, 0.20, "40", 1.0, "20k/V", 50.0),
    (1e6, 0.05, 2.2e6, 0.05, "8.6", 0.1, "20k/V", 10.0),
    (47e3, 0.05, 10e3, 0.05, "31.5", 0.1, "5k/V", 100.0),
    (100e3, 0.01, 100e3, 0.01, "-18.2", 0.1, "1k/V", 50.0),
    (2.7e3, 0.10, 680.0, 0.10, "2.05", 0.01, "20k/V", 2.5),
    (4.7e6, 0.20, 10e6, 0.20, "22", 1.0, "20k/V", 50.0),
]

# A digital meter: 10 megohm, 0.5 % of reading and 2 counts of 2000.
BENCH_OHMS, BENCH_RANGES = 10e6, (0.2, 2.0, 20.0, 200.0, 1000.0)
ACCURACY, SCALE_SHARE = 0.005, 2 / 2000
POINTER = 0.03


def row(r1, t1, r2, t2, printed, digit, meter, full_scale):
    a = ufloat(r1, r1 * t1 / sqrt(3))
    b = ufloat(r2, r2 * t2 / sqrt(3))
    v = ufloat(float(printed), digit / 2 / sqrt(3)) + ufloat(0, POINTER * full_scale / sqrt(3))
    g0 = 1 / (SERVICE[meter] * full_scale)
    source = a * b / (a + b)
    y = v * (1 + g0 * source) / (1 + source / BENCH_OHMS)
    bench = next(r for r in BENCH_RANGES if abs(y.n) <= r)
    error = ACCURACY * abs(y.n) + SCALE_SHARE * bench
    y = y + ufloat(0, error / sqrt(3))
    return [r1, t1, r2, t2, printed, meter, full_scale, bench, repr(y.n), repr(y.s)]


with open(pathlib.Path(__file__).with_name("translations.csv"), "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow("r1 t1 r2 t2 printed meter full_scale bench_range y u".split())
    out.writerows(row(*line) for line in ROWS)
