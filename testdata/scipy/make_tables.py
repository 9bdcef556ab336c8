"""Makes the tables beside this file with general-purpose numerical software,
which shares no code with the project: python3 make_tables.py

Debian packages python3-scipy 1.10.1-2 and python3-numpy; the Fowler function is
-Li2(-exp(mu)), and scipy.special.spence(z) is Li2(1 - z).
"""
import csv

import numpy as np
from scipy import odr, optimize, special, stats

K = 1.380649e-23 / 1.602176634e-19  # eV/K, exact
KT = K * 293.15


def fowler(mu):
    return -special.spence(1 + np.exp(mu))


def write(name, header, rows):
    with open(name, "w", newline="") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(header)
        w.writerows(rows)


def plane(v, cutoff, a, b, c):
    return a * fowler((cutoff - v) / KT) + b + c * v


def spheres(v, cutoff, contact, q, a, b, c, r):
    """Currents between spheres of q < 1 both ways, times q and 1/q, and a line."""
    em, barrier = cutoff - contact, v - contact
    low = q * fowler(em / KT) + 0 * v
    high = fowler((em - barrier) / KT) - (1 - q) * fowler((em - barrier / (1 - q)) / KT)
    forward = np.where(barrier > 0, high, low)
    p = 1 / q
    high = p * fowler(cutoff / KT) - (p - 1) * fowler((cutoff - barrier / (p - 1)) / KT)
    reverse = np.where(barrier > 0, high, fowler((cutoff + barrier) / KT))
    return a * forward + b + c * v + r * reverse


rng = np.random.default_rng(11)
curves, fits = [], []
scale = 1e12  # curve_fit likes numbers near one: currents in pA
for k, (cutoff, sigma) in enumerate([(1.2957, 1.0), (0.7440, 0.3), (0.9631, 5.0)]):
    v = np.round(np.linspace(-0.1, 2.5, 53), 3)
    i = plane(v, cutoff, 2.0, -4, -1) + rng.normal(0, sigma, v.size)
    curves += [(f"plane{k}", x, repr(y / scale), repr(sigma / scale)) for x, y in zip(v, i)]
    for first in range(0, 24):
        p, cov = optimize.curve_fit(
            plane, v[first:], i[first:], p0=[cutoff, 2, -4, -1], sigma=np.full(v.size - first, sigma),
            absolute_sigma=True, xtol=1e-14, ftol=1e-14)
        fits.append((f"plane{k}", first, repr(p[0]), repr(np.sqrt(cov[0, 0]))))
write("fowler_fits.csv", ["curve", "first_reading", "cutoff_V", "u_cutoff_V"], fits)

cells = []
for k, (cutoff, contact, q) in enumerate([(1.2957, -0.15, 0.4), (0.7440, 0.10, 0.25)]):
    v = np.round(np.linspace(-1.0, 2.5, 71), 3)
    truth = [cutoff, contact, q, 2.0, -1, -1, -0.003]
    i = spheres(v, *truth) + rng.normal(0, 0.5, v.size)
    curves += [(f"spheres{k}", x, repr(y / scale), repr(0.5 / scale)) for x, y in zip(v, i)]
    p, cov = optimize.curve_fit(spheres, v, i, p0=truth, sigma=np.full(v.size, 0.5), absolute_sigma=True,
                                xtol=1e-14, ftol=1e-14)
    cells.append((f"spheres{k}", repr(p[0]), repr(np.sqrt(cov[0, 0])), repr(p[1]), repr(p[2])))
write("sphere_fits.csv", ["curve", "cutoff_V", "u_cutoff_V", "contact_V", "q"], cells)
write("curves.csv", ["curve", "retarding_V", "current_A", "u_current_A"], curves)

points, lines = [], []
for k in range(3):
    x = np.array([5.20, 5.49, 6.88, 7.41, 8.21]) * 1e14
    ux = rng.uniform(0.5, 3, 5) * 1e12
    uy = rng.uniform(0.01, 0.04, 5)
    y = 4.1e-15 * x - 2.0 + rng.normal(0, uy)
    points += [(k, repr(a), repr(b), repr(c), repr(d)) for a, b, c, d in zip(x, ux, y, uy)]
    line = odr.Model(lambda b, x: b[0] * x + b[1])
    fit = odr.ODR(odr.RealData(x / 1e14, y, sx=ux / 1e14, sy=uy), line, beta0=[0.41, -2.0],
                  sstol=1e-15, partol=1e-15, maxit=1000).run()
    lines.append((k, "york", repr(fit.beta[0] / 1e14), repr(fit.beta[1]), repr(fit.sd_beta[0] / 1e14), repr(fit.sd_beta[1])))
    p, cov = optimize.curve_fit(lambda x, a, b: a * x + b, x / 1e14, y, sigma=uy)
    lines.append((k, "weighted", repr(p[0] / 1e14), repr(p[1]), repr(np.sqrt(cov[0, 0]) / 1e14), repr(np.sqrt(cov[1, 1]))))
    r = stats.linregress(x / 1e14, y)
    lines.append((k, "ordinary", repr(r.slope / 1e14), repr(r.intercept), repr(r.stderr / 1e14), repr(r.intercept_stderr)))
    r = stats.theilslopes(y, x / 1e14, method="joint")
    lines.append((k, "theil-sen", repr(r.slope / 1e14), repr(r.intercept), "", ""))
write("points.csv", ["table", "frequency_Hz", "u_frequency_Hz", "stopping_V", "u_stopping_V"], points)
write("lines.csv", ["table", "fit", "slope_Vs", "intercept_V", "u_slope_Vs", "u_intercept_V"], lines)
