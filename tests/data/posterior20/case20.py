"""The 20-seam case: its data and densities, shared by the two samplers. Equations: README.md. SI throughout."""
import numpy as np

LN_W, LN_T, SD_N = np.log(1.7), np.log(1.3), 0.04
TYPES = ["round-crimp", "flex-collar", "boot-gap", "boot-body", "case"]
FIELD = [True, True, True, False, False]
# type, arithmetic mean of the flow at 25 Pa in L/s, geometric standard deviation, exponent, side
SEAMS = [
    (0, 0.20, 2.2, 0.65, "supply"), (0, 0.20, 2.2, 0.65, "supply"), (0, 0.10, 2.2, 0.65, "supply"), (0, 0.05, 2.3, 0.65, "supply"),
    (1, 0.62, 2.5, 0.60, "supply"), (1, 0.62, 2.5, 0.60, "supply"), (1, 1.25, 2.5, 0.60, "supply"), (2, 1.60, 2.5, 0.55, "supply"),
    (2, 1.20, 2.5, 0.55, "supply"), (2, 0.48, 2.5, 0.55, "supply"), (3, 0.45, 2.0, 0.62, "supply"), (3, 0.45, 2.0, 0.62, "supply"),
    (0, 0.40, 2.2, 0.65, "return"), (0, 0.30, 2.2, 0.65, "return"), (1, 0.90, 2.5, 0.60, "return"), (2, 3.00, 3.0, 0.55, "return"),
    (3, 0.30, 2.0, 0.62, "return"), (4, 6.00, 1.6, 0.60, "return"), (4, 2.50, 1.6, 0.60, "return"), (4, 0.80, 2.3, 0.55, "return"),
]
TYPE = np.array([s[0] for s in SEAMS])
MEAN = np.array([s[1] for s in SEAMS]) * 1e-3
S = np.log([s[2] for s in SEAMS])
N0 = np.array([s[3] for s in SEAMS])
F = np.array([1.0 if FIELD[t] else 0.0 for t in TYPE])
M = np.log(MEAN) - S**2 / 2
S_E = np.sqrt(S**2 - F * (LN_W**2 + LN_T**2))
SUPPLY = np.array([s[4] == "supply" for s in SEAMS])
# id, pressure Pa, supply side alone, measured m3/s, relative sd, floor sd m3/s
READINGS = [
    ("total at 25 Pa", 25.0, False, 0.0235, 0.03, 0.0002),
    ("supply at 25 Pa", 25.0, True, 0.0081, 0.03, 0.0002),
    ("total at 12 Pa", 12.0, False, 0.0150, 0.03, 0.0002),
]
SETS = {"A": [0], "B": [0, 1], "C": [0, 1, 2]}
WIDE_SHARE, WIDE_SD = 0.05, 2.0
SIGMA = np.array([np.hypot(r[4] * r[3], r[5]) for r in READINGS])
# standard normals in one vector: w, t of each type, e of each seam, z of each type
N_STD = 1 + len(TYPES) + len(SEAMS) + len(TYPES)


# lambda = M + x[:26] @ SPREAD: rows w, t of each type, e of each seam
SPREAD = np.vstack([F * LN_W, (TYPE[None, :] == np.arange(len(TYPES))[:, None]) * F * LN_T, np.diag(S_E)])


def ln_q25(x):
    return M + x[:, :26] @ SPREAD


def exponents(x):
    return np.clip(N0 + SD_N * x[:, 26:][:, TYPE], 0.5, 1.0)


def model(q, n):
    """The three readings, m3/s: every seam feels the test pressure."""
    return np.stack([q.sum(1), q[:, SUPPLY].sum(1), (q * np.exp(n * np.log(12.0 / 25.0))).sum(1)], axis=1)


def ln_like(h, k):
    """ln likelihood of reading k for modelled values h, apart from the constant -ln(sigma sqrt(2 pi))."""
    eps = (READINGS[k][3] - h) / SIGMA[k]
    tight = np.log(1 - WIDE_SHARE) - eps**2 / 2
    wide = np.log(WIDE_SHARE / WIDE_SD) - eps**2 / (2 * WIDE_SD**2)
    return np.logaddexp(tight, wide)
