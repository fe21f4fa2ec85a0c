#!/usr/bin/env python3
"""Sampled reference posteriors, each by two or three independent methods; writes <case>.json. Equations and seeds: README.md.

Run: python make_sampled.py looks gross rich contradictory hanging      (any of them; one core, about half an hour for all)
Refuses to write if any figure of a check differs from the reference by more than 5 joint standard errors.
"""
import sys
import time

import numpy as np

import cases
import importance
import nuts
import output
import prior_draws
from model import Model

S, R = list(range(12)), list(range(12, 20))
BLOCKS = {"looks": [S, R], "gross": [S, R], "rich": [[0, 4, 7], [1, 5, 8], [2, 6, 9, 10], [3, 11], [12, 14, 15], [13, 16], [17, 18, 19]],
          "hanging": [list(range(6))], "grid3": [[0, 1, 2]]}
# name of the method: (function, effort)
PLAN = {
    "looks": {"importance": (4_000_000, 40, 11), "nuts": (64, 400, 2500, 1, 12)},
    "rich": {"importance": (4_000_000, 40, 21), "nuts": (64, 400, 1200, 1, 22)},
    "contradictory": {"prior_draws": (20_000, 25, 40, 31), "nuts": (64, 500, 6000, 2, 32)},
    "gross": {"importance": (8_000_000, 40, 41), "prior_draws": (2_000, 60, 40, 42), "nuts": (64, 400, 700, 1, 43)},
    "hanging": {"importance": (60_000_000, 40, 51), "prior_draws": (20_000, 15, 40, 52)},
    "grid3": {"importance": (2_000_000, 40, 61), "prior_draws": (20_000, 5, 40, 62)},
}
KEYS = ("mean", "sd", "p05", "p50", "p95")


def solve(md, name, method, effort):
    if method == "importance":
        draws, groups, seed = effort
        return importance.run(md, BLOCKS[name], draws, groups, seed, floor=0.5 if name == "hanging" else 0.05, pivots=name == "gross")
    if method == "prior_draws":
        return prior_draws.run(md, *effort)
    chains, warmup, draws, thin, seed = effort
    return nuts.run(md, chains, warmup, draws, thin, seed)


def scores(a, b, floor=3e-4):
    """Gaps in joint standard errors of every figure; hypotheses with a chance below `floor` are left out."""
    out = []
    for k in a[0]:
        if k == "hyp" and len(a[0]["hyp"]) == 1:
            continue
        for i, (x, y, sx, sy) in enumerate(zip(a[0][k], b[0][k], a[1][k], b[1][k])):
            if k in ("hyp", "gross") and min(x, y) < floor:
                continue
            out.append((abs(x - y) / np.hypot(sx, sy), f"{k}[{i}]"))
    return out


def agreement(a, b):
    sc = scores(a, b)
    worst = max(sc)
    return {"largest_gap_in_joint_se": float("%.3g" % worst[0]), "where": worst[1], "rms_gap_in_joint_se": float("%.3g" % np.sqrt(np.mean([s[0] ** 2 for s in sc]))),
            "figures": len(sc), "above_3_se": int(sum(s[0] > 3 for s in sc))}


def row(fig, se, i, share):
    keys = KEYS + (("share",) if share else ())
    return {k: float("%.6g" % fig[k][i]) for k in keys} | {"se_" + k: float("%.2g" % se[k][i]) for k in keys}


def chance(fig, se, key, i):
    return {"chance": float("%.5g" % fig[key][i]), "se": float("%.2g" % se[key][i])}


def block(md, case, res):
    fig, se, info = res
    n = md.n_seams
    out = info | {"ln_q25": [row(fig, se, i, True) for i in range(n)], "ln_total": row(fig, se, n, False), "ln_supply": row(fig, se, n + 1, False),
                  "wide": [{"reading": r["id"]} | chance(fig, se, "chance", k) for k, r in enumerate(case["readings"])]}
    if len(md.y) == 2:
        out["wide"].append({"reading": "both"} | chance(fig, se, "chance", 2))
    if len(md.hyps) > 1:
        singles = [{"seams": list(h)} | chance(fig, se, "hyp", a) for a, h in enumerate(md.hyps) if len(h) < 2]
        pairs = [a for a in np.argsort(-fig["hyp"]) if len(md.hyps[a]) == 2][:10]
        out["gross"] = singles + [{"seams": list(md.hyps[a])} | chance(fig, se, "hyp", a) for a in pairs]
        out["all_pairs"] = chance(fig, se, "gross", n)
        out["gross_of_seam"] = [chance(fig, se, "gross", i) for i in range(n)]
    return out


def by_hypothesis(case, name, first, hyps):
    """Check of single gross hypotheses: both methods on one hypothesis alone."""
    rows = []
    for h in hyps:
        md = Model(case)
        md.hyps, md.hyp_odds = [h], np.array([0.0])
        a = importance.run(md, BLOCKS[name], 400_000, 40, 71, floor=0.05, pivots=True)
        b = nuts.run(md, 64, 300, 200, 1, 72)
        rows.append({"seams": list(h), "importance_effective_draws": a[2]["effective_draws"], "nuts_effective_draws": b[2]["effective_draws"]} | agreement(a, b)
                    | {"wide_of_importance": [chance(a[0], a[1], "chance", k) for k in range(3)], "wide_of_nuts": [chance(b[0], b[1], "chance", k) for k in range(3)]})
        print("  alone", rows[-1], flush=True)
    return rows


def main():
    refused = []
    for name in sys.argv[1:]:
        case = getattr(cases, name)()
        md = Model(case)
        res = {}
        for method, effort in PLAN[name].items():
            t = time.time()
            res[method] = solve(md, name, method, effort)
            fig, se, info = res[method]
            print(name, method, info, "%.0f s; share sum %.9f; wide" % (time.time() - t, fig["share"].sum()), fig["chance"], flush=True)
        first = next(iter(res))
        agree = {m: agreement(res[first], res[m]) for m in res if m != first}
        print(name, agree, flush=True)
        if name == "grid3":
            fig, se, _ = res["importance"]
            print(fig["mean"], se["mean"], fig["hyp"], se["hyp"], fig["p05"], fig["p95"], fig["share"])
            continue
        if name == "gross":
            alone = by_hypothesis(case, name, first, [(), (7,), (8,), (7, 9)])
        out = case | {"reference": first} | {m: block(md, case, r) for m, r in res.items()} | {"agreement_with_reference": agree}
        if name == "gross":
            out["agreement_of_single_hypotheses"] = alone
        if any(a["largest_gap_in_joint_se"] > 5 for a in agree.values()):
            refused.append(name)
            continue
        output.write(name, out, digits=9)
    if refused:
        sys.exit(f"not written, the methods disagree: {refused}")


if __name__ == "__main__":
    main()
