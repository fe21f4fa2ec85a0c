#!/usr/bin/env python3
"""Four factory seams and one total: the posterior by nested one-dimensional quadrature; writes house4.json.

ln q25_i = m_i + s_i z_i, independent standard normals z_i. With r the flow of the seams not yet integrated, the four-fold integral
is nested:  G_0(r) = L(r),  G_k(r) = E_z[ G_{k-1}(r + q_k(z)) ],  each G_k tabulated finely on r and interpolated by cubic splines.
The density of one seam is phi(z_i) G_{others}(q_i); shares use L(T)/T, moments of the total use L(T) T and L(T) T^2, quantiles of the total use its prior
density built the same way. The whole is repeated on a coarser grid, and compared with a plain Monte Carlo run of 2e7 draws.

Needs: numpy, scipy.   Run: python make_house4.py
"""
import json
import pathlib
import re

import numpy as np
from scipy.interpolate import CubicSpline

HERE = pathlib.Path(__file__).resolve().parent
SEAMS = [("case inlet", 6.0, 1.6), ("case outlet", 2.5, 1.6), ("slot", 3.0, 2.2), ("line entry", 0.8, 2.3)]   # mean L/s at 25 Pa, GSD
N = [0.60, 0.60, 0.55, 0.55]
Y, REL, FLOOR = 0.0145, 0.03, 0.0002
SIGMA = float(np.hypot(REL * Y, FLOOR))
MEAN = np.array([s[1] for s in SEAMS]) * 1e-3
S = np.log([s[2] for s in SEAMS])
M = np.log(MEAN) - S**2 / 2
R_TOP = Y + 40 * SIGMA


def like(t):
    eps = (Y - t) / SIGMA
    return 0.95 * np.exp(-eps**2 / 2) + 0.05 / 2 * np.exp(-eps**2 / 8)


def solve(n_r, n_z):
    r = np.linspace(0.0, R_TOP, n_r)
    z = np.linspace(-9.0, 9.0, n_z)
    w = np.exp(-z * z / 2)
    w /= w.sum()

    def fold(g, i):
        """E_z g(r + q_i(z)) on the grid; g vanishes beyond R_TOP."""
        sp = CubicSpline(r, g)
        out = np.zeros_like(r)
        for qz, wz in zip(np.exp(M[i] + S[i] * z), w):
            x = r + qz
            ok = x <= R_TOP
            if not ok.any():
                break
            out[ok] += wz * sp(x[ok])
        return out

    def others(i, base):
        g = base
        for k in range(4):
            if k != i:
                g = fold(g, k)
        return CubicSpline(r, g)

    zf = np.linspace(-9.0, 9.0, 36001)
    phi = np.exp(-zf * zf / 2)
    with np.errstate(divide="ignore"):
        inv = np.where(r > 0, like(r) / np.maximum(r, 1e-12), 0.0)
    seams = []
    evidence = None
    for i in range(4):
        q = np.exp(M[i] + S[i] * zf)
        inside = q <= R_TOP
        dens = np.where(inside, phi * others(i, like(r))(np.minimum(q, R_TOP)), 0.0)
        dens = np.maximum(dens, 0.0)
        lam = M[i] + S[i] * zf
        tot = dens.sum()
        if evidence is None:
            evidence = tot
        mean = (dens @ lam) / tot
        sd = np.sqrt((dens @ (lam - mean) ** 2) / tot)
        cum = np.concatenate([[0.0], np.cumsum((dens[1:] + dens[:-1]) / 2)])
        quant = [float(np.interp(p, cum / cum[-1], lam)) for p in (0.05, 0.5, 0.95)]
        share = float((phi * np.where(inside, q * others(i, inv)(np.minimum(q, R_TOP)), 0.0)).sum() / tot)
        mean_q = float((dens @ q) / tot)
        seams.append({"mean": float(mean), "sd": float(sd), "p05": quant[0], "p50": quant[1], "p95": quant[2], "share": share, "mean_q25_m3_s": mean_q})
    # total: prior density on the grid by folding away from the first seam's lognormal density
    with np.errstate(divide="ignore"):
        lr = np.log(np.maximum(r, 1e-300))
    f = np.where(r > 0, np.exp(-((lr - M[0]) / S[0]) ** 2 / 2) / np.maximum(r, 1e-300), 0.0)
    for i in (1, 2, 3):
        sp, out = CubicSpline(r, f), np.zeros_like(r)
        for qz, wz in zip(np.exp(M[i] + S[i] * z), w):
            ok = r - qz > 0
            if not ok.any():
                break
            out[ok] += wz * sp(r[ok] - qz)
        f = out
    post = CubicSpline(r, f * like(r))
    tf = np.linspace(0.0, R_TOP, 400001)
    d = np.maximum(post(tf), 0.0)
    cum = np.concatenate([[0.0], np.cumsum((d[1:] + d[:-1]) / 2)])
    mean = d @ tf / d.sum()
    total = {"mean": float(mean), "sd": float(np.sqrt(d @ (tf - mean) ** 2 / d.sum()))}
    total |= {k: float(np.interp(p, cum / cum[-1], tf)) for k, p in (("p05", 0.05), ("p50", 0.5), ("p95", 0.95))}
    return seams, total


def monte_carlo():
    rng = np.random.default_rng(4)
    sw = sw2 = 0.0
    acc, accs, acct, parts = np.zeros(4), np.zeros(4), 0.0, []
    for _ in range(40):
        lam = M + S * rng.standard_normal((500_000, 4))
        q = np.exp(lam)
        t = q.sum(1)
        w = like(t)
        parts.append(np.concatenate([w @ lam, w @ (q / t[:, None]), [w @ t]]) / w.sum())
    return np.mean(parts, 0), np.std(parts, 0, ddof=1) / np.sqrt(len(parts))


def main():
    seams, total = solve(12001, 3601)
    coarse, total_c = solve(6001, 1201)
    gap = max(abs(a[k] - b[k]) for a, b in zip(seams, coarse) for k in ("mean", "sd", "p05", "p50", "p95", "share"))
    gap = max([gap] + [abs(total[k] / total_c[k] - 1) for k in total])
    share_sum, flow_sum = sum(s["share"] for s in seams), sum(s["mean_q25_m3_s"] for s in seams)
    mc, se = monte_carlo()
    mine = np.array([s["mean"] for s in seams] + [s["share"] for s in seams] + [total["mean"]])
    score = np.abs(mc - mine) / se
    print(f"coarse grid differs by {gap:.1e}; shares sum to {share_sum:.9f}; seam means sum to total within {flow_sum / total['mean'] - 1:.1e}; "
          f"Monte Carlo gap at most {score.max():.2f} se (largest se {se.max():.1e})")
    assert gap < 2e-6 and abs(share_sum - 1) < 2e-6 and abs(flow_sum / total["mean"] - 1) < 2e-6 and score.max() < 4.5
    out = {"about": "invented case; four factory seams, one total at 25 Pa, lossless ducts; figures good to 1e-5", "measured_m3_s": Y, "relative_sd": REL,
           "floor_sd_m3_s": FLOOR, "sigma_m3_s": SIGMA, "pressure_pa": 25.0, "error_law": {"wide_share": 0.05, "wide_sd_factor": 2.0},
           "seams": [{"id": s[0], "mean_q25_m3_s": float("%.7g" % m), "gsd": s[2], "n": n, "field_made": False} for s, m, n in zip(SEAMS, MEAN, N)],
           "ln_q25": [{k: float("%.8g" % v) for k, v in s.items()} for s in seams], "total_q25_m3_s": {k: float("%.8g" % v) for k, v in total.items()}}
    text = re.sub(r"\{[^{}\[\]]*\}|\[[^{}\[\]]*\]", lambda t: re.sub(r"\s*\n\s*", " ", t.group(0)), json.dumps(out, indent=1))
    (HERE / "house4.json").write_text(text + "\n")


if __name__ == "__main__":
    main()
