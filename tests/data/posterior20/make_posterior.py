#!/usr/bin/env python3
"""Posterior of the 20-seam case by two independent methods; writes posterior20.json beside this script.

1. Importance sampling from the prior: weights = likelihood, self-normalised. 50 groups of 10^6 draws (a quarter of them for A); standard
   errors from the spread of the group answers; quantiles from weighted histograms 0.005 prior sd wide.
2. An ensemble Markov chain (emcee: 1000 walkers, differential evolution and stretch moves) on the standard normals,
   started from the prior; standard errors from 40 groups of 25 walkers.
The two must agree within 5 joint standard errors in every figure, else the script stops.

Needs: numpy, emcee.   Run: python make_posterior.py [groups] [steps]   (about 2 minutes on two idle cores)
"""
import json
import pathlib
import sys
from concurrent.futures import ProcessPoolExecutor

import emcee
import numpy as np

import case20 as c

HERE = pathlib.Path(__file__).resolve().parent
CHUNK, CHUNKS = 125_000, 8
BINS = 2800
EDGE_LO, EDGE_W = c.M - 7 * c.S, 14 * c.S / BINS
LNT_LO, LNT_W = np.log(1e-4), np.log(10.0 / 1e-4) / 5000
TOP = (("p05", 0.05), ("p50", 0.50), ("p95", 0.95))


def sums(lw, lam, q, x):
    """Weighted sums over the draws of one data set; draws below exp(-16) of the heaviest are dropped (bias below 1e-6)."""
    keep = np.flatnonzero(lw > -16.0)
    w, l, q, x = np.exp(lw[keep]), lam[keep], q[keep], x[keep]
    tot = q.sum(1)
    z = np.concatenate([x[:, :6], x[:, 26:]], axis=1)
    ib = np.clip(((l - EDGE_LO) / EDGE_W).astype(int), 0, BINS - 1)
    hist = np.stack([np.bincount(ib[:, i], w, BINS) for i in range(20)])
    it = np.clip(((np.log(tot) - LNT_LO) / LNT_W).astype(int), 0, 4999)
    return [w.sum(), (w * w).sum(), w @ l, w @ (l - c.M) ** 2, w @ tot, w @ tot**2, w @ (q / tot[:, None]), w @ z, w @ z**2, hist,
            np.bincount(it, w, 5000)]


def importance_group(seed):
    """Weighted sums of one group. Data set A, the easiest, uses a quarter of the draws; B and C use all."""
    rng = np.random.Generator(np.random.PCG64(np.random.SeedSequence([20, seed])))
    acc = {}
    for chunk in range(CHUNKS):
        x = rng.standard_normal((CHUNK, c.N_STD))
        lam = c.ln_q25(x)
        q = np.exp(lam)
        lw = c.ln_like(q.sum(1), 0)
        parts = {"A": sums(lw, lam, q, x)} if chunk % 4 == 0 else {}
        lw = lw + c.ln_like(q[:, c.SUPPLY].sum(1), 1)
        keep = lw > -16.0
        lw, lam, q, x = lw[keep], lam[keep], q[keep], x[keep]
        parts["B"] = sums(lw, lam, q, x)
        parts["C"] = sums(lw + c.ln_like(c.model(q, c.exponents(x))[:, 2], 2), lam, q, x)
        for s, part in parts.items():
            acc[s] = [a + b for a, b in zip(acc[s], part)] if s in acc else part
    return acc


def hist_quantile(h, p, lo, width):
    cum = np.cumsum(h)
    goal = p * cum[-1]
    i = int(np.searchsorted(cum, goal))
    before = cum[i - 1] if i else 0.0
    return lo + width * (i + (goal - before) / h[i])


def figures_from_sums(a):
    """One flat vector of every figure out of weighted sums."""
    w, _, l1, l2, t1, t2, sh, z1, z2, hist, ht = a
    mean = l1 / w
    d = mean - c.M
    out = {"mean": mean, "sd": np.sqrt(l2 / w - d * d), "share": sh / w, "z_mean": z1 / w, "z_sd": np.sqrt(z2 / w - (z1 / w) ** 2),
           "total_mean": np.array([t1 / w]), "total_sd": np.array([np.sqrt(t2 / w - (t1 / w) ** 2)])}
    for name, p in TOP:
        out[name] = np.array([hist_quantile(hist[i], p, EDGE_LO[i], EDGE_W[i]) for i in range(20)])
        out["total_" + name] = np.array([np.exp(hist_quantile(ht, p, LNT_LO, LNT_W))])
    return out


def figures_from_draws(x):
    lam = c.ln_q25(x)
    q = np.exp(lam)
    tot = q.sum(1)
    z = np.concatenate([x[:, :6], x[:, 26:]], axis=1)
    out = {"mean": lam.mean(0), "sd": lam.std(0), "share": (q / tot[:, None]).mean(0), "z_mean": z.mean(0), "z_sd": z.std(0),
           "total_mean": np.array([tot.mean()]), "total_sd": np.array([tot.std()])}
    for name, p in TOP:
        out[name] = np.quantile(lam, p, axis=0)
        out["total_" + name] = np.array([np.quantile(tot, p)])
    return out


def standard_error(parts):
    return {k: np.std([p[k] for p in parts], axis=0, ddof=1) / np.sqrt(len(parts)) for k in parts[0]}


def chain(job):
    s, steps, seed = job
    ks, walkers = c.SETS[s], 1000

    def ln_post(x):
        h = c.model(np.exp(c.ln_q25(x)), c.exponents(x) if 2 in ks else 0.6)
        return sum(c.ln_like(h[:, k], k) for k in ks) - (x * x).sum(1) / 2

    rng = np.random.default_rng([77, seed])
    np.random.seed(1000 + seed)
    sampler = emcee.EnsembleSampler(walkers, c.N_STD, ln_post, vectorize=True,
                                    moves=[(emcee.moves.DEMove(), 0.9), (emcee.moves.StretchMove(), 0.1)])
    state = sampler.run_mcmc(rng.standard_normal((walkers, c.N_STD)), steps // 6, store=False)
    sampler.reset()
    sampler.run_mcmc(state, steps // 10, thin_by=10, store=True)
    tau = 10 * sampler.get_autocorr_time(quiet=True)
    x = sampler.get_chain()                                # (time, walker, dimension)
    parts = [figures_from_draws(x[:, g::40].reshape(-1, c.N_STD)) for g in range(40)]
    whole = figures_from_draws(x.reshape(-1, c.N_STD))
    return s, whole, standard_error(parts), float(walkers * steps / tau.max()), float(tau.max()), float(sampler.acceptance_fraction.mean())


def num(v):
    return float("%.7g" % v)


def block(fig, se):
    """JSON of one method."""
    seam = [{k: num(fig[k][i]) for k in ("mean", "sd", "p05", "p50", "p95", "share")}
            | {"se_" + k: float("%.2g" % se[k][i]) for k in ("mean", "sd", "p05", "p50", "p95", "share")} for i in range(20)]
    tot = {k: num(fig["total_" + k][0]) for k in ("mean", "sd", "p05", "p50", "p95")} | {
        "se_" + k: float("%.2g" % se["total_" + k][0]) for k in ("mean", "sd", "p05", "p50", "p95")}
    names = ["w"] + ["t " + t for t in c.TYPES] + ["z " + t for t in c.TYPES]
    lat = [{"name": nm, "mean": num(fig["z_mean"][i]), "sd": num(fig["z_sd"][i]), "se_mean": float("%.2g" % se["z_mean"][i]),
            "se_sd": float("%.2g" % se["z_sd"][i])} for i, nm in enumerate(names)]
    return {"ln_q25": seam, "total_q25_m3_s": tot, "standard_normals": lat}


def main():
    groups = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    steps = int(sys.argv[2]) if len(sys.argv) > 2 else 8_000
    with ProcessPoolExecutor(2) as pool:
        chains = pool.map(chain, [(s, steps, i) for i, s in enumerate(c.SETS)])
        got = []
        for g in pool.map(importance_group, range(groups)):
            got.append(g)
            if len(got) % 5 == 0:
                print("importance groups done:", len(got), flush=True)
        chains = {r[0]: r[1:] for r in chains}
    out = {"about": "invented case; equations in README.md; lossless ducts; SI; ln_q25 is the natural logarithm of m3/s",
           "prior": {"workmanship_sd": c.LN_W, "habit_sd": c.LN_T, "exponent_sd": c.SD_N},
           "joint_types": [{"id": t, "field_made": f} for t, f in zip(c.TYPES, c.FIELD)],
           "seams": [{"joint_type": c.TYPES[t], "side": side, "mean_q25_m3_s": num(m * 1e-3), "gsd": g, "n": n} for t, m, g, n, side in c.SEAMS],
           "error_law": {"wide_share": c.WIDE_SHARE, "wide_sd_factor": c.WIDE_SD},
           "readings": [{"id": r[0], "pressure_pa": r[1], "supply_side_alone": r[2], "measured_m3_s": r[3], "relative_sd": r[4], "floor_sd_m3_s": r[5],
                         "sigma_m3_s": float(sg)} for r, sg in zip(c.READINGS, c.SIGMA)],
           "sets": {}}
    failed = []
    for s, ks in c.SETS.items():
        total = [sum(g[s][k] for g in got) for k in range(len(got[0][s]))]
        fig = figures_from_sums(total)
        se = standard_error([figures_from_sums(g[s]) for g in got])
        ess = float(total[0] ** 2 / total[1])
        cf, cse, cess, tau, acc = chains[s]
        worst, where, count, over3 = 0.0, "", 0, 0
        for k in fig:
            score = np.abs(fig[k] - cf[k]) / np.hypot(se[k], cse[k])
            count, over3 = count + score.size, over3 + int((score > 3).sum())
            if score.max() > worst:
                worst, where = float(score.max()), f"{k}[{int(score.argmax())}]"
        print(f"{s}: importance ESS {ess:.0f}; chain ESS {cess:.0f}, tau {tau:.0f}, accepted {acc:.2f}; largest gap {worst:.2f} joint se at {where}; "
              f"{over3} of {count} above 3; share sum {fig['share'].sum():.9f}; max se of mean {se['mean'].max():.1e} chain {cse['mean'].max():.1e}", flush=True)
        if worst > 5.0:
            failed.append(s)
        out["sets"][s] = {"readings": [c.READINGS[k][0] for k in ks],
                          "importance": {"draws": groups * CHUNK * CHUNKS // (4 if s == "A" else 1), "effective_draws": round(ess)} | block(fig, se),
                          "chain": {"draws": steps * 1000, "effective_draws": round(cess)} | block(cf, cse),
                          "agreement": {"largest_gap_in_joint_se": float("%.3g" % worst), "where": where, "figures": count, "above_3_se": over3}}
    if failed:
        sys.exit(f"the two methods disagree in {failed}")
    lines = json.dumps(out, indent=1)
    import re
    lines = re.sub(r"\{[^{}\[\]]*\}|\[[^{}\[\]]*\]", lambda t: re.sub(r"\s*\n\s*", " ", t.group(0)), lines)
    (HERE / "posterior20.json").write_text(lines + "\n")


if __name__ == "__main__":
    main()
