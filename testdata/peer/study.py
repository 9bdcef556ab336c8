#!/usr/bin/env python3
"""The study of cutoff methods in numpy and scipy, one thread: the peer.

    python3 study.py SCENARIO.toml --replicates 500 --seed 1 > peer.json

Simulates the photocell of a scenario by the closed forms for concentric spheres
(Poisson counts, Johnson noise, offset, resolution), reads the stopping voltages
by five methods, puts an ordinary and a weighted line through them, and prints
the biases with their Monte Carlo standard errors as JSON. Energies are in eV,
potentials in V, currents in A unless a name says otherwise.

It needs Python 3.11 with numpy and scipy (Debian: python3-scipy), and shares no
code with stopvolt.
"""
import argparse
import json
import math
import sys
import time
import tomllib
from collections import namedtuple
from types import SimpleNamespace

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from scipy import constants, interpolate, optimize, special, stats

E = constants.e
K = constants.k
H_OVER_E = constants.h / constants.e


# Physics.

def fowler(mu):
    """f(mu) = -Li2(-exp(mu)); special.spence(z) is Li2(1 - z)."""
    tail = -special.spence(1 + np.exp(-np.abs(mu)))
    return np.where(mu > 0, np.pi**2 / 6 + mu**2 / 2 - tail, tail)


def frequency(nm):
    """Frequency in Hz of a wavelength in standard air (Ciddor 1996, eq. 1)."""
    def index(vacuum):
        s2 = (1e3 / vacuum) ** 2
        return 1 + 1e-8 * (5792105 / (238.0185 - s2) + 167917 / (57.362 - s2))
    return constants.c / (optimize.fixed_point(lambda vacuum: nm * index(vacuum), nm) * 1e-9)


def collected(excess, kT, q, barrier):
    """Share of the electrons that cross a barrier between spheres."""
    def G(a):
        return fowler((excess - a) / kT) / fowler(excess / kT)
    up, down = np.maximum(barrier, 0), np.maximum(-barrier, 0)
    if q == 1:
        return G(up)
    if q < 1:
        return np.where(barrier > 0, (G(up) - (1 - q) * G(up / (1 - q))) / q, 1)
    return np.where(barrier > 0, G(up) / q, 1 - (1 - 1 / q) * G(down / (q - 1)))


# Mercury lines in standard air, nm, with the relative intensities that the
# study takes (Sansonetti and Martin 2005).
MERCURY = np.array([
    (365.0153, 2800), (365.4836, 300), (366.2878, 80), (366.3279, 240), (404.6563, 1800),
    (407.7831, 150), (435.8328, 4000), (546.0735, 1100), (576.9598, 240), (579.0663, 280)])


class Bench:
    """The mean currents of a scenario and its noise."""

    def __init__(self, scenario):
        refuse_what_is_not_modelled(scenario)
        self.meter, self.plan = scenario["meter"], scenario["plan"]
        self.emitter, self.collector = scenario["emitter"], scenario["collector"]
        self.lights = scenario["light"]
        self.q = 1.0 if scenario["geometry"]["kind"] == "plane" else scenario["geometry"]["radius_ratio"] ** 2
        start, stop, step = (self.plan[key] for key in ("start_V", "stop_V", "step_V"))
        self.steps = int((stop - start) / step + 0.01) + 1
        # The voltages of a sweep lie anywhere within a step, so that the mean
        # currents are splines through points a twentieth of a step apart.
        V = np.arange(start - step, stop + 1.5 * step, step / 20)

        contact = self.collector["work_function_eV"] - self.emitter["work_function_eV"]
        stray = self.collector.get("stray_light", 0)
        forward = np.array([self.current(light, self.emitter, 1 - stray, self.q, V + contact)
                            for light in self.lights])
        reverse = np.zeros_like(forward)
        if stray:
            reverse = np.array([self.current(light, self.collector, stray, 1 / self.q, -contact - V)
                                for light in self.lights])
        self.splines = [interpolate.CubicSpline(V, currents, axis=1) for currents in (forward, reverse)]
        leak = scenario.get("leakage", {})
        self.dark, self.leak = leak.get("dark_current_A", 0.0), leak.get("resistance_ohm", np.inf)
        dwell = self.plan["dwell_s"]
        self.johnson = math.sqrt(4 * K * self.meter["temperature_K"] / self.meter["feedback_ohm"] / (2 * dwell))

    def move(self, phase):
        """Moves the voltages by a part of a step, from -1/2 to 1/2."""
        step = self.plan["step_V"]
        self.V = np.round(self.plan["start_V"] + step * (phase + np.arange(self.steps)), 9)
        self.forward, self.reverse = (np.maximum(spline(self.V), 0) for spline in self.splines)
        self.leakage = self.dark - self.V / self.leak

    @staticmethod
    def current(light, surface, lit, q, barrier):
        """Mean current of the electrons from a surface over a barrier."""
        kT = K / E * surface["temperature_K"]
        phi = surface["work_function_eV"]
        scale = surface["yield"] / fowler((H_OVER_E * frequency(surface["yield_wavelength_nm"]) - phi) / kT)
        f = light["filter"]
        total = 0
        for nm, weight in MERCURY:
            passed = f["blocking"] + (f["peak"] - f["blocking"]) * math.exp(
                -4 * math.log(2) * ((nm - f["centre_nm"]) / f["width_nm"]) ** 2)
            power = lit * light["flux_W"] * light.get("neutral", 1) * weight / MERCURY[:, 1].sum() * passed
            photon = H_OVER_E * frequency(nm)
            excess = photon - phi
            total = total + power / photon * scale * fowler(excess / kT) * collected(excess, kT, q, barrier)
        return total

    def sweep(self, rng):
        """Shown currents of one session, a row a setting, with the
        uncertainties that the data sheet of the meter gives."""
        charge = E / self.plan["dwell_s"]
        electrons = rng.poisson(self.forward / charge) - rng.poisson(self.reverse / charge)
        offset = rng.uniform(-self.meter["offset_A"], self.meter["offset_A"])
        current = electrons * charge + self.leakage + offset + rng.normal(0, self.johnson, electrons.shape)
        step = self.meter["resolution_A"]
        shown = np.round(current / step) * step
        shot = charge * np.sqrt(np.maximum(np.abs(shown) / charge, 1))
        return shown, np.sqrt(shot**2 + self.johnson**2 + step**2 / 12)


def refuse_what_is_not_modelled(scenario):
    known = (
        scenario["geometry"]["kind"] in ("plane", "spheres")
        and not scenario["emitter"].get("patch_spread_eV")
        and not scenario["collector"].get("patch_spread_eV")
        and not scenario["collector"].get("emitter_coating")
        and all(light["source"] == "mercury" and "filter" in light for light in scenario["light"])
        and scenario["plan"]["repeats"] == 1 and "world" not in scenario
        and scenario["meter"]["resolution_A"] > 0
        and not {"lamp", "voltmeter"} & scenario.keys())
    if not known:
        sys.exit("study.py: the scenario has an effect that this script does not model")


# Straight lines by weighted least squares, along the last axis.

Line = namedtuple("Line", "centre mean slope var_mean var_slope")


def fit_line(x, y, u, use=1.0):
    w = use / u**2
    sw = w.sum(-1)
    centre, mean = (w * x).sum(-1) / sw, (w * y).sum(-1) / sw
    d = x - centre[..., None]
    sdd = (w * d**2).sum(-1)
    return Line(centre, mean, (w * d * y).sum(-1) / sdd, 1 / sw, 1 / sdd)


def at(line, x):
    return line.mean + line.slope * (x - line.centre)


def var_at(line, x):
    return line.var_mean + line.var_slope * (x - line.centre) ** 2


def level_of(line):
    return line._replace(slope=0.0, var_slope=0.0)


def widen(line, x, y, u):
    """Birge's ratio, where the readings scatter more than they should."""
    if len(x) < 3:
        return line
    ratio = max(1.0, (((y - at(line, x)) / u) ** 2).sum() / (len(x) - 2))
    return line._replace(var_mean=line.var_mean * ratio, var_slope=line.var_slope * ratio)


def crossing(a, b=Line(0.0, 0.0, 0.0, 0.0, 0.0)):
    """Where two lines meet, with its uncertainty."""
    slope = a.slope - b.slope
    v = (b.mean - a.mean + a.slope * a.centre - b.slope * b.centre) / slope
    return v, math.sqrt(var_at(a, v) + var_at(b, v)) / abs(slope)


# The parts of a curve. Coarse readings often give equal slopes; what is equal but
# for rounding is taken as equal.

TIE = 1e-9
SURELY = 3 * (1 + TIE)


def wider(width):
    return width + max(2, width // 8 * 2)


def prepare(V, I, U, temperature, resolution):
    """Finds the steep part and the plateau of a curve."""
    c = SimpleNamespace(V=V, I=I, U=np.maximum(U, resolution / math.sqrt(12)), kT=K / E * temperature, resolution=resolution)
    # The last digit hides the noise: neighbouring readings are rounded alike.
    noise = math.sqrt(max(c.U.min() ** 2 - resolution**2 / 12, 0))
    c.coarse = resolution > 2 * 1.05 * noise
    find_steep(c)
    if c.falls:
        find_plateau(c)
    return c


def find_steep(c):
    n = len(c.V)
    c.falls = False
    width = 3
    while n >= 4:
        lines = fit_line(*(sliding_window_view(x, width) for x in (c.V, c.I, c.U)))
        steepest = np.argmax(lines.slope <= lines.slope.min() * (1 - TIE))
        slope, u = lines.slope[steepest], math.sqrt(lines.var_slope[steepest])
        following = wider(width)
        if u > -0.03 * (1 + TIE) * slope and 3 * following <= n or -slope < SURELY * u and 3 * following <= 2 * n:
            width = following
            continue
        if -slope < SURELY * u:
            return
        break
    else:
        return
    # The window, and its neighbours that are nearly as steep.
    alike = lines.slope <= 0.9 * (1 - TIE) * slope
    first = last = steepest
    while first > 0 and alike[first - 1]:
        first -= 1
    while last + 1 < len(alike) and alike[last + 1]:
        last += 1
    c.falls, c.steep_from, c.steep_to = True, first, last + width
    part = slice(first, last + width)
    c.steep = widen(fit_line(c.V[part], c.I[part], c.U[part]), c.V[part], c.I[part], c.U[part])


def find_plateau(c):
    n = len(c.V)
    c.flat, start = False, n - 3
    if start < c.steep_to - 1:
        return
    # One line for each reading at which the plateau may begin, to the end.
    begins = np.arange(min(c.steep_to, start), start + 1)
    tails = fit_line(c.V, c.I, c.U, use=np.arange(n) >= begins[:, None])
    columns = Line(*(x[:, None] for x in tails))
    on = np.abs(c.I - at(columns, c.V)) <= SURELY * np.sqrt(var_at(columns, c.V) + c.U**2)
    steepest = 0.25 * (1 + TIE) * abs(c.steep.slope)
    while start > c.steep_to:
        k = start - begins[0]
        if not on[k, max(start - 3, c.steep_to):start].any() or abs(tails.slope[k - 1]) > steepest:
            break
        start -= 1
    line = Line(*(x[start - begins[0]] for x in tails))
    c.flat = abs(line.slope) <= steepest
    if n - start < 6 or abs(line.slope) < SURELY * math.sqrt(line.var_slope):
        line = level_of(line)
    c.plateau_from, c.plateau = start, widen(line, c.V[start:], c.I[start:], c.U[start:])


def has_long_plateau(c):
    return c.flat and len(c.V) - c.plateau_from >= 6


def level(c):
    """What the forward current stands on."""
    if has_long_plateau(c):
        return c.plateau
    end = Line(c.V[-1], c.I[-1], 0.0, c.U[-1] ** 2, 0.0)
    if c.flat:
        end = level_of(c.plateau)
    if end.mean > 0:
        end = end._replace(mean=0.0, var_mean=end.var_mean + end.mean**2 / 3)
    return end


# The methods: each returns the stopping voltage and its uncertainty, or None.

def zero_crossing(c):
    below = np.flatnonzero(c.I <= 0)
    if len(below) == 0 or below[0] == 0:
        return None
    j = below[0]
    above = np.flatnonzero(c.I > SURELY * c.U)
    if len(above) == 0 or above[-1] < j:
        (va, vb), (a, b), (ua, ub) = c.V[j - 1:j + 1], c.I[j - 1:j + 1], c.U[j - 1:j + 1]
        return va + (vb - va) * a / (a - b), (vb - va) / (a - b) ** 2 * math.hypot(b * ua, a * ub)
    # Noise carries readings over the axis more than once.
    part = slice(j - 1, min(above[-1] + 2, len(c.V)))
    V, I, U = c.V[part], c.I[part], c.U[part]
    line = widen(fit_line(V, I, U), V, I, U)
    v, u = crossing(line)
    return (v, u) if line.slope < 0 and V[0] <= v <= V[-1] else None


def tangent(c):
    if not c.falls:
        return None
    v, u = crossing(c.steep)
    return (v, u) if v >= c.V[c.steep_from] else None


def square_root(c):
    if not c.falls:
        return None
    base = level(c)
    above = c.I - at(base, c.V)
    start = c.steep_to - 1
    lost = above <= np.maximum(0.05 * above[start], SURELY * np.sqrt(c.U**2 + var_at(base, c.V)))
    end = start + np.append(np.flatnonzero(lost[start:]), len(c.V) - start)[0]
    while end - start < 3 and start > c.steep_from:
        start -= 1
    if end - start < 3:
        return None
    V, U = c.V[start:end], c.U[start:end]

    def cutoff(above):
        root = np.sqrt(above)
        return crossing(widen(fit_line(V, root, U / (2 * root)), V, root, U / (2 * root)))

    v, u = cutoff(above[start:end])
    shifted, _ = cutoff(above[start:end] + math.sqrt(base.var_mean))
    return (v, math.hypot(u, shifted - v)) if v >= V[0] else None


def second_derivatives(c, width):
    """Second derivative over each window of readings by a weighted parabola:
    centres, values, variances, and the share of each reading in each value."""
    V, I, U = (sliding_window_view(x, width) for x in (c.V, c.I, c.U))
    w = 1 / U**2
    centre = (w * V).sum(-1) / w.sum(-1)
    span = c.V[width - 1] - c.V[0]
    X = ((V - centre[:, None]) / span)[..., None] ** np.arange(3)
    inverse = np.linalg.inv(np.einsum("kn,kni,knj->kij", w, X, X))
    gain = 2 / span**2 * np.einsum("kj,knj,kn->kn", inverse[:, 2], X, w)
    return centre, (gain * I).sum(-1), 4 / span**4 * inverse[:, 2, 2], gain


def second_derivative(c):
    if not c.falls:
        return None
    n, start = len(c.V), c.steep_to - 1
    width = 5
    while True:
        if 2 * width > n or start + width > n:
            return None
        centre, bend, var, gain = second_derivatives(c, width)
        top = start + np.argmax(bend[start:] * (1 + TIE) >= bend[start:].max())
        if bend[top] > 0 and math.sqrt(var[top]) < 0.1 * (1 + TIE) * bend[top]:
            break
        width = wider(width)

    def half_height(windows):
        """Where the curvature falls to half the mean height of windows."""
        half = np.average(bend[windows], weights=1 / var[windows]) / 2 * (1 + TIE)
        falls = np.flatnonzero((bend[top:-1] > half) & (bend[top + 1:] <= half))
        if len(falls) == 0:
            return None
        i = top + falls[0]
        share = (bend[i] - half) / (bend[i] - bend[i + 1])
        return i, share, centre[i] + share * (centre[i + 1] - centre[i])

    step = np.array([top])
    found = half_height(step)
    if found is None:
        return None
    # Once the step is found, all windows that lie on it tell its height.
    windows = np.arange(start, n - width + 1)
    longer = windows[c.V[windows + width - 1] < found[2] - TIE * (c.V[-1] - c.V[0])]
    if len(longer) > 1:
        better = half_height(longer)
        if better is not None:
            step, found = longer, better
    i, share, v = found
    total = np.zeros(n)
    total[i:i + width] += (1 - share) * gain[i]
    total[i + 1:i + 1 + width] += share * gain[i + 1]
    weight = 1 / var[step]
    for k, part in zip(step, weight / (2 * weight.sum())):
        total[k:k + width] -= part * gain[k]
    reach = max(1, width // 4)
    a, b = max(i - reach, 0), min(i + reach, n - width)
    slope = (bend[a] - bend[b]) / (centre[b] - centre[a])
    return v, math.sqrt(((total * c.U) ** 2).sum()) / abs(slope)


def unrounded(y, model, step, sigma):
    """The readings and their uncertainties that stand, near a model, for
    readings rounded to a step: they have the slope and the curvature of the
    logarithm of the probability that the display shows y."""
    low, high = (y - step / 2 - model) / sigma, (y + step / 2 - model) / sigma
    # Far from its step a reading is pulled by the nearer edge alone.
    edge = np.where(low > 5, low, high)
    far = (low > 5) | (high < -5)
    low, high = np.where(far, -1, low), np.where(far, 1, high)
    p = special.ndtr(high) - special.ndtr(low)
    a, b = (np.exp(-z**2 / 2) / math.sqrt(2 * math.pi) for z in (low, high))
    slope = (a - b) / p
    bend = np.maximum(slope**2 + (b * high - a * low) / p, 1e-3)
    return (model + sigma * np.where(far, edge, slope / bend), sigma / np.sqrt(np.where(far, 1, bend)))


def fowler_fit(c):
    if not c.falls:
        return None
    base, sloped = level(c), has_long_plateau(c)
    start = c.steep_to - 1
    V, high = c.V[start:], 1.5 * c.V[-1] - 0.5 * c.V[start]
    if len(V) <= (4 if sloped else 2):
        return None
    # In units of the last digit all numbers are near one.
    I, U = c.I[start:] / c.resolution, c.U[start:] / c.resolution
    stands_on, u_stands_on = base.mean / c.resolution, math.sqrt(base.var_mean) / c.resolution

    def sloped_model(V, cutoff, amplitude, b, slope):
        return amplitude * fowler((cutoff - V) / c.kT) + b + slope * V

    def level_model(V, cutoff, amplitude):
        return amplitude * fowler((cutoff - V) / c.kT) + stands_on

    model = sloped_model if sloped else level_model

    def fit(I, U, p):
        return optimize.curve_fit(model, V, I, p0=p, sigma=U, absolute_sigma=True)

    # Begin with the parabola that has height and slope of the steep part.
    guess = min(V[0] + 2 * (at(c.steep, V[0]) - at(base, V[0])) / abs(c.steep.slope), high)
    p = [guess, (I[0] - stands_on) / fowler((guess - V[0]) / c.kT)] + ([stands_on, 0.0] if sloped else [])
    try:
        p, cov = fit(I, U, p)
        if not V[0] - 4 * c.kT < p[0] < high or p[1] <= 0:
            return None
        # Readings that lie off by more than chance allows once in a thousand
        # times say that the law does not hold (Birge; Wilson and Hilferty).
        degrees = len(V) - len(p)
        ratio = (((I - model(V, *p)) / U) ** 2).sum() / degrees
        likely = (1 - 2 / (9 * degrees) + 3.0902 * math.sqrt(2 / (9 * degrees))) ** 3
        factor = ratio if ratio > likely else 1
        if c.coarse:
            sigma = np.sqrt(np.maximum(U**2 - 1 / 12, 0.01))
            for _ in range(25):
                before = p[0]
                p, cov = fit(*unrounded(I, model(V, *p), 1, sigma), p)
                if abs(p[0] - before) < 0.03 * math.sqrt(cov[0, 0]):
                    break
        v, variance = p[0], factor * cov[0, 0]
        if not sloped:
            stands_on += u_stands_on
            other, _ = fit(I, U, p)
            variance += (other[0] - v) ** 2
    except RuntimeError:  # curve_fit did not converge
        return None
    return v, math.sqrt(variance)


METHODS = {
    "zero-crossing": zero_crossing,
    "tangent": tangent,
    "square-root": square_root,
    "second-derivative": second_derivative,
    "fowler-fit": fowler_fit,
}
FITS = ("ordinary", "weighted")


# The study.

def line(nu, cutoffs, fit):
    """h/e and the collector's work function with their uncertainties, and the
    degrees of freedom; NaN without a line."""
    used = np.isfinite(cutoffs).all(-1)
    if used.sum() < 3:
        return np.full(5, np.nan)
    v, u = cutoffs[used].T
    p, cov = np.polyfit(nu[used] / 1e14, v, 1, w=None if fit == "ordinary" else 1 / u, cov=True)
    u = np.sqrt(np.diag(cov))
    return np.array([p[0] / 1e14, u[0] / 1e14, -p[1], u[1], used.sum() - 2])


def replicate(bench, rng, nu):
    """The cutoffs (method, setting, value and u) and the lines (method, fit,
    what line returns)."""
    I, U = bench.sweep(rng)
    curves = [prepare(bench.V, i, u, bench.emitter["temperature_K"], bench.meter["resolution_A"]) for i, u in zip(I, U)]
    cutoffs = np.array([[method(c) or (np.nan, np.nan) for c in curves] for method in METHODS.values()])
    # An answer that is no number, is far beyond the sweep or leaves a quarter
    # of it open is none.
    first, last = bench.V[0], bench.V[-1]
    v, u, span = cutoffs[..., 0], cutoffs[..., 1], last - first
    cutoffs[~((u > 0) & (u <= span / 4) & (v >= first - span / 2) & (v <= last + span / 2))] = np.nan
    lines = np.array([[line(nu, m, fit) for fit in FITS] for m in cutoffs])
    return cutoffs, lines


def measures(errors, u, width, suffix=""):
    """Performance by Morris, White and Crowther, Stat. Med. 38, 2074 (2019),
    table 6; width is the half-width of the 95 % intervals in units of u."""
    good = np.isfinite(errors) & np.isfinite(u)
    n, failures = int(good.sum()), int((~good).sum())
    if n < 2:
        return {"bias" + suffix: None, "bias_mcse" + suffix: None, "failures": failures}
    x, u = errors[good], u[good]
    sd = x.std(ddof=1)
    return {"bias" + suffix: x.mean(), "bias_mcse" + suffix: sd / math.sqrt(n), "median_bias" + suffix: np.median(x),
            "empirical_se" + suffix: sd, "rmse" + suffix: math.sqrt((x**2).mean()),
            "mean_u" + suffix: math.sqrt((u**2).mean()),
            "coverage": (np.abs(x) <= np.broadcast_to(width, good.shape)[good] * u).mean(), "failures": failures}


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("scenario")
    parser.add_argument("--replicates", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    with open(args.scenario, "rb") as f:
        bench = Bench(tomllib.load(f))
    rng = np.random.default_rng(args.seed)
    nu = np.array([frequency(light["nominal_nm"]) for light in bench.lights])
    phi = bench.collector["work_function_eV"]

    started, cpu = time.perf_counter(), time.process_time()
    outcomes = []
    for k in range(args.replicates):
        if k % 2 == 0:
            # Two experiments are done with the same voltages.
            bench.move(rng.uniform(-0.5, 0.5))
        outcomes.append(replicate(bench, rng, nu))
    seconds, cpu = time.perf_counter() - started, time.process_time() - cpu

    cutoffs = np.array([c for c, _ in outcomes])
    lines = np.array([l for _, l in outcomes])
    truth = H_OVER_E * nu - phi
    report = []
    for m, method in enumerate(METHODS):
        settings = [{"name": light["name"],
                     **measures(cutoffs[:, m, s, 0] - truth[s], cutoffs[:, m, s, 1], stats.norm.ppf(0.975), "_V")}
                    for s, light in enumerate(bench.lights)]
        for f, fit in enumerate(FITS):
            slope, u_slope, work_function, u_work_function, degrees = lines[:, m, f].T
            width = stats.t.ppf(0.975, degrees)
            report.append({
                "method": method, "fit": fit,
                "h_over_e": measures(slope / H_OVER_E - 1, u_slope / H_OVER_E, width),
                "collector_work_function": measures(work_function / phi - 1, u_work_function / phi, width),
                "settings": settings})
    json.dump({"schema": 1, "replicates": args.replicates, "seed": args.seed,
               "seconds": seconds, "cpu_seconds": cpu, "methods": report}, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
