"""Prints the microseconds that scipy.optimize.curve_fit takes for one fit of the
Fowler function to the first curve of curves.csv, from a given reading on,
with a start as one reads it off the plot: python3 time_fits.py FIRST_READING
"""
import csv
import sys
import time
import warnings

import numpy as np
from scipy import optimize, special

warnings.simplefilter("ignore")
KT = 1.380649e-23 / 1.602176634e-19 * 293.15


def plane(v, cutoff, a, b, c):
    return a * -special.spence(1 + np.exp((cutoff - v) / KT)) + b + c * v


rows = [r for r in csv.reader(open("curves.csv")) if r[0] == "plane0"]
v = np.array([float(r[1]) for r in rows])[int(sys.argv[1]):]
i = np.array([float(r[2]) for r in rows])[int(sys.argv[1]):] * 1e12
best = float("inf")
for _ in range(5):
    start = time.perf_counter()
    for _ in range(20):
        optimize.curve_fit(plane, v, i, p0=[1.2, 1, 0, 0], sigma=np.ones(v.size), absolute_sigma=True)
    best = min(best, (time.perf_counter() - start) / 20)
print(best * 1e6)
