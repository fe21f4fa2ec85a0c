#!/usr/bin/env python3
"""Values, slopes and integrals of monotone cubics through blower points, by a general scientific library.

Needs: scipy (PchipInterpolator).
Run:   python make_pchip.py        (writes points.csv and pchip.csv beside this script)
The curves are invented: three shapes of blower, one with uneven steps, one of two points, one of three, one to no flow.
"""
import pathlib
from scipy.interpolate import PchipInterpolator

CURVES = {
    "split-capacitor": ([25, 75, 125, 175, 225], [0.66, 0.63, 0.58, 0.52, 0.44]),
    "constant-torque": ([25, 75, 125, 175, 225], [0.61, 0.60, 0.58, 0.555, 0.53]),
    "constant-flow": ([25, 75, 125, 175, 225], [0.57, 0.57, 0.57, 0.565, 0.53]),
    "uneven": ([0, 12, 150, 170, 260, 410], [0.71, 0.70, 0.62, 0.45, 0.44, 0.05]),
    "two": ([50, 150], [0.5, 0.3]),
    "three": ([0, 100, 130], [0.5, 0.49, 0.2]),
    "to-no-flow": ([0, 120, 250], [0.4, 0.4, 0.0]),
}
HERE = pathlib.Path(__file__).resolve().parent
with open(HERE / "points.csv", "w") as points, open(HERE / "pchip.csv", "w") as values:
    points.write("curve,rise_Pa,flow_m3_s\n")
    values.write("curve,rise_Pa,flow_m3_s,slope_m3_s_Pa,integral_from_first_Pa_m3_s\n")
    for name, (x, y) in CURVES.items():
        for a, b in zip(x, y):
            points.write(f"{name},{a},{b}\n")
        law = PchipInterpolator(x, y)
        slope, whole = law.derivative(), law.antiderivative()
        for k in range(24):
            at = x[0] + (x[-1] - x[0]) * (k + 0.37) / 24
            values.write(f"{name},{at:.15g},{float(law(at)):.15g},{float(slope(at)):.15g},"
                         f"{float(whole(at) - whole(x[0])):.15g}\n")
