"""Importance sampling from the prior of x: the weight is the likelihood summed over every gross hypothesis and both error widths (numpy, scipy).

Weights are bounded, so no part of the posterior can be missed; slower than importance.py. Readings at 25 Pa only.
"""
import numpy as np
from scipy.special import ndtr

import figures


def simulate(md, rng, n):
    """ln q25 of ordinary and of gross seams, and the observers' offsets: (n, seams), (n, seams), (n, observers)."""
    c = md.c
    w, x = rng.standard_normal((n, 1)), rng.standard_normal((n, md.n_seams))
    habit = rng.standard_normal((n, md.n_types))[:, md.type]
    common = md.field * (c["workmanship_sd"] * w + c["habit_sd"] * habit)
    return md.m + common + md.own * x, md.gross_m + c["gross_sd"] * x, c["observer_sd"] * rng.standard_normal((n, md.n_obs))


def smoke_chance(md, lnq, off, j, n0):
    c = md.c
    u = lnq[:, md.lk_seam[j]] + n0 * md.lk_lp[j] - md.lk_lamt[j] + off[:, md.lk_obs[j]]
    a1, a2 = (np.log(c["smoke_t1_m3_s"]) - u) / c["smoke_sd"], (np.log(c["smoke_t2_m3_s"]) - u) / c["smoke_sd"]
    return [lambda: ndtr(a1), lambda: np.where(a1 + a2 > 0, ndtr(-a1) - ndtr(-a2), ndtr(a2) - ndtr(a1)), lambda: ndtr(-a2)][md.lk_rep[j]]()


def chunk(md, rng, n):
    c = md.c
    assert not md.uses_n
    lnq, lng, off = simulate(md, rng, n)
    q, qg = np.exp(lnq), np.exp(lng)
    plain, torn = np.ones((n, md.n_seams)), np.ones((n, md.n_seams))       # smoke likelihood of each seam, ordinary and torn
    for j, i in enumerate(md.lk_seam):
        plain[:, i] *= smoke_chance(md, lnq, off, j, md.n0[i])
        torn[:, i] *= smoke_chance(md, lng, off, j, c["gross_exponent"])
    for i, lg in md.gaps:
        plain[:, i] *= np.exp(-0.5 * ((lnq[:, i] - lg) / c["gap_sd"]) ** 2)
        torn[:, i] *= np.exp(-0.5 * ((lng[:, i] - lg) / c["gap_sd"]) ** 2)
    first = np.array([h[0] if len(h) > 0 else md.n_seams for h in md.hyps])
    second = np.array([h[1] if len(h) > 1 else md.n_seams for h in md.hyps])
    z = np.zeros((n, 1))
    with np.errstate(divide="ignore"):
        ln_ratio = np.concatenate([np.log(torn) - np.log(plain), z], axis=1)
        lw = np.log(plain).sum(1)[:, None] + md.hyp_odds + ln_ratio[:, first] + ln_ratio[:, second]
    w = np.exp(lw)
    wide_of = np.empty((len(md.y), n, len(md.hyps)))
    ws = c["wide_share"]
    for k in range(len(md.y)):
        extra = np.concatenate([(qg - q) * md.part[k], z], axis=1)
        e = md.y[k] - (q @ md.part[k])[:, None] - extra[:, first] - extra[:, second]
        tight, wide = (1 - ws) / md.sigma[k] * np.exp(-0.5 * (e / md.sigma[k]) ** 2), ws / md.wide[k] * np.exp(-0.5 * (e / md.wide[k]) ** 2)
        both = tight + wide
        w *= both
        wide_of[k] = wide / np.maximum(both, 1e-300)
    tot = w.sum(1)
    keep = np.flatnonzero(tot > 0)
    joint = figures.with_joint(np.moveaxis(wide_of, 0, 2), np)
    wide = np.einsum("nhk,nh->nk", joint, w)[keep] / tot[keep, None]
    # one hypothesis for each draw, for the figures of the seams
    pick = np.minimum((np.cumsum(w[keep], axis=1) < (rng.random(len(keep)) * tot[keep])[:, None]).sum(1), len(md.hyps) - 1)
    out = lnq[keep]
    for s in (first, second):
        rows = np.flatnonzero(s[pick] < md.n_seams)
        out[rows, s[pick[rows]]] = lng[keep[rows], s[pick[rows]]]
    sums = figures.group_sums(tot[keep], out, md.supply, wide)
    sums["hyp"] = w.sum(0)
    return sums


def run(md, chunk_size, chunks, groups, seed):
    gs = []
    for g in range(groups):
        rng = np.random.default_rng([seed, g])
        acc = None
        for _ in range(chunks):
            part = chunk(md, rng, chunk_size)
            acc = part if acc is None else figures.add(acc, part)
        gs.append(acc)
    fig, se, total = figures.whole(gs, md)
    return fig, se, {"draws": chunk_size * chunks * groups, "effective_draws": round(total["w"] ** 2 / total["w2"])}
