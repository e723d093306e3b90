#!/usr/bin/env python3
"""Writes signal_values.json: what SciPy says of the filters and smoothers in libkinetics/kinematics.

Run with Debian 12's own Python (SciPy 1.10):

    /usr/bin/python3 tests/oracle/signal_values.py

The input is a minimum-jerk rise with rest around it plus a fixed, reproducible noise, so that the
numbers do not hang on a random generator.
"""
import json
import pathlib

import numpy
import scipy
from scipy.interpolate import BSpline, make_smoothing_spline
from scipy.signal import butter, filtfilt, lfilter

RATE_HZ = 60.0


def heights(times):
    s = numpy.clip((times - 0.7) / 1.0, 0.0, 1.0)
    rise = 0.6 * s**3 * (10.0 - 15.0 * s + 6.0 * s**2)
    k = numpy.arange(len(times))
    # Quadratic residues look like white noise and are the same everywhere.
    noise = ((k * k * 7919 + k * 104729) % 10007) / 10007.0 - 0.5
    return rise + 0.001 * noise


def butterworth(ratio, correction):
    warped = numpy.tan(numpy.pi * ratio) / correction
    return butter(2, 2.0 * numpy.arctan(warped) / numpy.pi)


def quintic_smoothing_spline(t, y, p):
    """Minimises sum (y - g)^2 + p * integral g'''^2 over quintic splines with knots at t."""
    knots = numpy.r_[[t[0]] * 6, t[1:-1], [t[-1]] * 6]
    count = len(knots) - 6
    basis = [BSpline(knots, numpy.eye(count)[i], 5) for i in range(count)]
    design = numpy.column_stack([b(t) for b in basis])
    nodes, weights = numpy.polynomial.legendre.leggauss(4)  # g'''^2 is of degree 4
    penalty = numpy.zeros((count, count))
    third = [b.derivative(3) for b in basis]
    for a, b in zip(t[:-1], t[1:]):
        x = 0.5 * (b - a) * nodes + 0.5 * (a + b)
        d = numpy.column_stack([f(x) for f in third])
        penalty += d.T @ (0.5 * (b - a) * weights[:, None] * d)
    # As one least-squares problem: the normal equations would square the condition number.
    value, vector = numpy.linalg.eigh(penalty)
    root = (vector * numpy.sqrt(numpy.clip(value, 0.0, None))).T
    c = numpy.linalg.lstsq(
        numpy.vstack([design, numpy.sqrt(p) * root]), numpy.r_[y, numpy.zeros(count)], rcond=None
    )[0]
    g = BSpline(knots, c, 5)
    return g(t), g.derivative(1)(t), g.derivative(2)(t)


def main():
    out = {"scipy": scipy.__version__, "numpy": numpy.__version__, "rate_hz": RATE_HZ}

    out["butterworth"] = []
    for ratio in (0.05, 0.1, 0.2):
        for passes in (1, 2):
            correction = (2.0 ** (1.0 / passes) - 1.0) ** 0.25
            b, a = butterworth(ratio, correction)
            out["butterworth"].append(
                {"ratio": ratio, "passes": passes, "b": b.tolist(), "a": a.tolist()}
            )

    t = numpy.arange(150) / RATE_HZ
    y = heights(t)
    b, a = butterworth(6.0 / RATE_HZ, (numpy.sqrt(2.0) - 1.0) ** 0.25)
    out["even"] = {
        "t": t.tolist(),
        "y": y.tolist(),
        "lfilter_6_hz": lfilter(b, a, y).tolist(),
        "filtfilt_6_hz": filtfilt(b, a, y).tolist(),
    }
    # Penalised least squares with the GCV penalty: a cubic spline, so an order lower than ours.
    spline = make_smoothing_spline(t, y)
    out["even"]["smoothing_spline"] = spline(t).tolist()
    out["even"]["smoothing_spline_velocity"] = spline.derivative(1)(t).tolist()

    k = numpy.arange(90)
    uneven = numpy.cumsum(1.0 / RATE_HZ * (1.0 + 0.4 * numpy.sin(2.3 * k)))
    y = heights(uneven)
    p = 1e-9
    g, v, acc = quintic_smoothing_spline(uneven, y, p)
    out["uneven"] = {
        "t": uneven.tolist(),
        "y": y.tolist(),
        "p": p,
        "quintic": g.tolist(),
        "quintic_velocity": v.tolist(),
        "quintic_acceleration": acc.tolist(),
    }
    path = pathlib.Path(__file__).with_name("signal_values.json")
    path.write_text(json.dumps(out, indent=0) + "\n")


if __name__ == "__main__":
    main()
