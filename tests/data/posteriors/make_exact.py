#!/usr/bin/env python3
"""Exact cases: grid3.json by nested one-dimensional quadrature, conjugate.json in closed form (numpy, scipy). Equations: README.md."""
import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq
from scipy.special import ndtr
from scipy.stats import norm

import cases
import output
from model import Model

QUANT = (("p05", 0.05), ("p50", 0.50), ("p95", 0.95))


def density_figures(x, p):
    """mean, sd and quantiles of a density given on an even grid."""
    h = x[1] - x[0]
    p = p / (p.sum() * h)
    mean = (x * p).sum() * h
    cdf = CubicSpline(x, p).antiderivative()
    lo, hi = x[0], x[-1]
    return {"mean": mean, "sd": np.sqrt(((x - mean) ** 2 * p).sum() * h)} | {n: brentq(lambda t: cdf(t) - q, lo, hi, xtol=1e-13) for n, q in QUANT}


def grid3(step):
    case = cases.grid3()
    md = Model(case)
    c = md.c
    look_sd = np.hypot(c["smoke_sd"], c["observer_sd"])          # each observer speaks once: his offset joins the scatter

    def seam_density(i, x, torn):
        """prior of ln q times the smoke likelihood."""
        m, s, n = (md.gross_m[i], c["gross_sd"], c["gross_exponent"]) if torn else (md.m[i], md.own[i], md.n0[i])
        j = int(np.flatnonzero(md.lk_seam == i)[0])
        u = x + n * md.lk_lp[j] - md.lk_lamt[j]
        a1, a2 = (np.log(c["smoke_t1_m3_s"]) - u) / look_sd, (np.log(c["smoke_t2_m3_s"]) - u) / look_sd
        return norm.pdf(x, m, s) * [ndtr(a1), ndtr(a2) - ndtr(a1), ndtr(-a2)][md.lk_rep[j]]

    def error(total):
        e = md.y[0] - total
        return (1 - c["wide_share"]) * norm.pdf(e, 0, md.sigma[0]), c["wide_share"] * norm.pdf(e, 0, md.wide[0])

    x = np.arange(-15.0, 0.0, step)
    v = np.arange(-16.0, 16.0, 4 * step)
    soft = np.logaddexp(0.0, v)
    odds = md.odds[2]
    weight = {False: 1.0, True: np.exp(odds)}

    def pair_density(j, k, s, torn):
        """density of s = ln(q_j + q_k); with v = ln(q_j / q_k) the change of variables has determinant 1."""
        out = np.empty(len(s))
        for at in range(0, len(s), 200):
            sk = s[at:at + 200, None] - soft
            out[at:at + 200] = (seam_density(j, sk + v, torn and j == 2) * seam_density(k, sk, torn and k == 2)).sum(1) * (v[1] - v[0])
        return out

    z, wide, mean_share, marg, moments = {}, {}, np.zeros(3), [], []
    for i in range(3):
        j, k = [a for a in range(3) if a != i]
        p_i, share, zs, ws, t1, t2, p_s = np.zeros(len(x)), 0.0, [], 0.0, 0.0, 0.0, np.zeros(len(x))
        for torn in (False, True):
            a, b = seam_density(i, x, torn and i == 2), weight[torn] * pair_density(j, k, x, torn)
            zt = 0.0
            for at in range(0, len(x), 200):
                q = np.exp(x[at:at + 200, None])
                tot = q + np.exp(x)
                tight, wd = error(tot)
                ab = a[at:at + 200, None] * b
                p = ab * (tight + wd)
                p_i[at:at + 200] += p.sum(1)
                p_s += p.sum(0)
                zt, share, ws = zt + p.sum(), share + (p * q / tot).sum(), ws + (ab * wd).sum()
                t1, t2 = t1 + (p * np.log(tot)).sum(), t2 + (p * np.log(tot) ** 2).sum()
            zs.append(zt * step**2)
        z[i], wide[i] = zs, ws * step**2 / sum(zs)
        mean_share[i] = share * step**2 / sum(zs)
        marg.append(density_figures(x, p_i))
        m = t1 * step**2 / sum(zs)
        moments.append((m, np.sqrt(t2 * step**2 / sum(zs) - m * m)))
        if i == 0:
            supply = density_figures(x, p_s)          # seams 1 and 2 are the supply side
    # total: density of T = ln(q_0 + q_12), again with determinant 1
    t = np.arange(-12.0, -1.0, step)
    p_t = np.zeros(len(t))
    for torn in (False, True):
        dens = pair_density(1, 2, x, torn)
        good = dens > 1e-290
        ln_pair = CubicSpline(x[good], np.log(dens[good]))
        for at in range(0, len(t), 200):
            s = t[at:at + 200, None] - soft
            inside = (s > x[good][0]) & (s < x[good][-1])
            p_t[at:at + 200] += weight[torn] * (seam_density(0, s + v, False) * np.where(inside, np.exp(ln_pair(np.clip(s, x[good][0], x[good][-1]))), 0)).sum(1)
    # the likelihood is far narrower than the rest: fine grid for it alone
    fine = np.arange(-12.0, -1.0, step / 20)
    keep = p_t > 1e-290
    smooth = np.exp(CubicSpline(t[keep], np.log(p_t[keep]))(np.clip(fine, t[keep][0], t[keep][-1])))
    total = density_figures(fine, smooth * sum(error(np.exp(fine))))
    spread = max(abs(np.array(z[i]) / np.array(z[0]) - 1).max() for i in range(3))
    gap = max(abs(total[n] - m[r]) for m in moments for r, n in enumerate(("mean", "sd")))
    assert spread < 1e-9 and gap < 1e-7 and abs(mean_share.sum() - 1) < 1e-9 and np.ptp(list(wide.values())) < 1e-9, (spread, gap, mean_share.sum(), wide)
    return case, {"ln_q25": [f | {"share": s} for f, s in zip(marg, mean_share)], "ln_total": total, "ln_supply": supply,
                  "wide": [{"reading": "total", "chance": wide[0]}],
                  "gross": [{"seams": [], "chance": z[0][0] / sum(z[0])}, {"seams": [2], "chance": z[0][1] / sum(z[0])}]}


def flat(o):
    if isinstance(o, dict):
        return [v for x in o.values() for v in flat(x)]
    if isinstance(o, list):
        return [v for x in o for v in flat(x)]
    return [float(o)] if isinstance(o, (float, int, np.floating)) else []


def conjugate():
    case = cases.conjugate()
    md = Model(case)
    c = md.c
    f = md.field[:, None] * md.field
    cov = f * (c["workmanship_sd"] ** 2 + c["habit_sd"] ** 2 * (md.type[:, None] == md.type)) + np.diag(md.own**2)
    a = np.zeros((len(md.gaps), md.n_seams))
    a[np.arange(len(md.gaps)), [g[0] for g in md.gaps]] = 1.0
    y = np.array([g[1] for g in md.gaps])
    gain = cov @ a.T @ np.linalg.inv(a @ cov @ a.T + c["gap_sd"] ** 2 * np.eye(len(y)))
    post, pcov = md.m + gain @ (y - a @ md.m), cov - gain @ a @ cov
    # second way: regression on the whitened x = (w, habit of each type, own)
    spread = np.vstack([md.field * c["workmanship_sd"], (md.type == np.arange(md.n_types)[:, None]) * md.field * c["habit_sd"], np.diag(md.own)])
    prec = np.eye(len(spread)) + spread @ a.T @ a @ spread.T / c["gap_sd"] ** 2
    xm, xc = np.linalg.solve(prec, spread @ a.T @ (y - a @ md.m) / c["gap_sd"] ** 2), np.linalg.inv(prec)
    assert np.abs(md.m + xm @ spread - post).max() < 1e-12 and np.abs(spread.T @ xc @ spread - pcov).max() < 1e-12

    def block(m, k, wm, wsd):
        sd = np.sqrt(np.diag(k))
        q = np.exp(m + sd**2 / 2)
        return {"ln_q25": [{"mean": m[i], "sd": sd[i]} | {n: m[i] + sd[i] * norm.ppf(p) for n, p in QUANT} for i in range(len(m))],
                "covariance": [list(r) for r in k], "workmanship_x": {"mean": wm, "sd": wsd},
                "total_q25_m3_s": {"mean": q.sum(), "sd": np.sqrt((np.outer(q, q) * np.expm1(k)).sum())}}

    return case | {"sets": {"gap_looks_alone": block(post, pcov, xm[0], np.sqrt(xc[0, 0])), "no_evidence": block(md.m, cov, 0.0, 1.0)}}


if __name__ == "__main__":
    coarse, fine = grid3(0.0125)[1], grid3(0.008)
    worst = np.abs(np.array(flat(coarse)) - np.array(flat(fine[1]))).max()
    print("largest change between the two grids:", worst)
    assert worst < 1e-6
    output.write("grid3", fine[0] | {"exact": fine[1] | {"largest_change_on_a_coarser_grid": float("%.1e" % worst)}}, digits=9)
    output.write("conjugate", conjugate(), digits=12)
