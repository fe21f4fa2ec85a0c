"""Errors of flows at 25 Pa, worked out apart: numpy and scipy only, leverages by numerical derivatives.

Points are invented. Writes errors_points.csv (what is read) and errors.csv (what must come out).
"""
import csv
import math
import numpy as np
from scipy import stats

EXPONENT, EXPONENT_SD, TEST = 0.60, 0.05, 25.0

# case: limit (m3/s), then points: pressure Pa, pressure sd, flow m3/s, flow sd, shared part of the flow's error
CASES = {
    # five points that scatter by some per cent: the scatter decides
    "scattering": (0.152, [(10, 0.1, 0.075, 0.0005, 0.001), (20, 0.2, 0.128, 0.0005, 0.001),
                           (30, 0.3, 0.150, 0.0005, 0.001), (45, 0.45, 0.208, 0.0005, 0.001),
                           (60, 0.6, 0.224, 0.0005, 0.001)]),
    # one point far off 25 Pa with a large error of its own hardly moves the flow at 25 Pa
    "small far point": (0.139, [(4, 0.1, 0.0442, 0.0066, 0.03), (20, 0.2, 0.1206, 0.0037, 0.03),
                                (25, 0.25, 0.1380, 0.0042, 0.03), (30, 0.3, 0.1540, 0.0047, 0.03),
                                (60, 0.6, 0.2334, 0.0072, 0.03)]),
    # three repeats that scatter
    "repeats": (0.128, [(25, 0.25, 0.118, 0.0006, 0.002), (25, 0.25, 0.126, 0.0006, 0.002),
                        (25, 0.25, 0.129, 0.0006, 0.002)]),
    # three repeats at 15 Pa that agree: the exponent's error is in all of them
    "repeats at 15 Pa": (0.172, [(15, 0.3, 0.1201, 0.0036, 0.03), (15, 0.3, 0.1203, 0.0036, 0.03),
                                 (15, 0.3, 0.1202, 0.0036, 0.03)]),
    # two points, shared and own errors
    "two points": (0.145, [(12.5, 0.3, 0.0911, 0.0032, 0.03), (50, 0.5, 0.2092, 0.0080, 0.03)]),
}


def ln_q25(pressures, flows):
    slope, intercept = np.polyfit(np.log(pressures), np.log(flows), 1)
    return intercept + slope * math.log(TEST), slope


def spread(points):
    """Flow at 25 Pa, its standard deviation, degrees of freedom (inf: normal law)."""
    p, up, q, uq, shared = (np.array(column, dtype=float) for column in zip(*points))
    own = np.sqrt(np.maximum((uq / q) ** 2 - shared**2, 0.0))
    if p.max() < 1.25 * p.min():
        moved = q * (TEST / p) ** EXPONENT
        mean = moved.mean()
        together = np.sqrt(shared**2 + (EXPONENT * up / p) ** 2 + (np.log(TEST / p) * EXPONENT_SD) ** 2)
        alike = (together * moved).mean()
        single = math.sqrt(((own * moved / len(p)) ** 2).sum())
        scatter = stats.sem(moved)
        whole = math.hypot(alike, max(scatter, single))
        freedom = (len(p) - 1) * (whole / scatter) ** 4 if scatter > single else math.inf
        return mean, whole, freedom
    at, n = ln_q25(p, q)
    step = 1e-6
    lever = []
    for k in range(len(p)):
        up_q, down_q = q.copy(), q.copy()
        up_q[k] *= math.exp(step)
        down_q[k] *= math.exp(-step)
        lever.append((ln_q25(p, up_q)[0] - ln_q25(p, down_q)[0]) / (2 * step))
    lever = np.array(lever)
    alike = abs((lever * shared).sum())
    single = math.sqrt(((lever**2) * (own**2 + (n * up / p) ** 2)).sum())
    if len(p) == 2:
        return math.exp(at), math.exp(at) * math.hypot(alike, single), math.inf
    # standard error of the line at 25 Pa from the covariance of the fit
    x, y = np.log(p), np.log(q)
    design = np.column_stack([np.ones_like(x), x])
    residual = y - design @ np.array([at - n * math.log(TEST), n])
    variance = residual @ residual / (len(p) - 2)
    row = np.array([1.0, math.log(TEST)])
    scatter = math.sqrt(variance * row @ np.linalg.inv(design.T @ design) @ row)
    part = math.hypot(alike, max(scatter, single))
    freedom = (len(p) - 2) * (part / scatter) ** 4 if scatter > single else math.inf
    return math.exp(at), part * math.exp(at), freedom


with open("errors_points.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["case", "pressure_pa", "pressure_sd_pa", "flow_m3_s", "flow_sd_m3_s", "shared_part_sd"])
    for case, (_, points) in CASES.items():
        for point in points:
            out.writerow([case, *point])

with open("errors.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["case", "flow_25_pa_m3_s", "sd_m3_s", "freedom", "half_95_m3_s", "limit_m3_s", "chance"])
    for case, (limit, points) in CASES.items():
        flow, sd, freedom = spread(points)
        law = stats.norm() if math.isinf(freedom) else stats.t(freedom)
        half = law.ppf(0.975) * sd
        out.writerow([case, *(f"{v:.12g}" for v in (flow, sd, freedom, half, limit, law.cdf((limit - flow) / sd)))])
