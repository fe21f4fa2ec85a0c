"""Weighted sums of draws and the figures out of them, with jackknife standard errors over groups of draws."""
import numpy as np

LO, WIDTH, BINS = -20.0, 0.002, 10_500            # histogram of ln q, ln(m3/s)
QUANT = (("p05", 0.05), ("p50", 0.50), ("p95", 0.95))


def group_sums(w, lnq, supply, chances, h_index=None, n_hyp=1):
    """Sums of one group. chances: (N, k) numbers whose mean is wanted; h_index: hypothesis of each draw."""
    q = np.exp(lnq)
    tot = q.sum(1)
    g = np.concatenate([lnq, np.log(tot)[:, None], np.log(q[:, supply].sum(1))[:, None]], axis=1)
    ib = np.clip((g - LO) / WIDTH, 0, BINS - 1).astype(int)
    hist = np.stack([np.bincount(ib[:, j], w, BINS) for j in range(g.shape[1])])
    d = g + 6.0
    hyp = np.bincount(h_index, w, n_hyp) if h_index is not None else np.zeros(0)
    return {"w": w.sum(), "w2": (w * w).sum(), "g1": w @ d, "g2": w @ d**2, "share": w @ (q / tot[:, None]), "chance": w @ chances, "hist": hist, "hyp": hyp}


def with_joint(wide, xp):
    """Chances of wide errors given a draw (last axis: readings); with two readings a third column, the chance that both are wide."""
    return xp.concatenate([wide, wide[..., :1] * wide[..., 1:]], axis=-1) if wide.shape[-1] == 2 else wide


def add(a, b):
    return {k: a[k] + b[k] for k in a}


def figures(s, derive):
    w = s["w"]
    mean = s["g1"] / w
    out = {"mean": mean - 6.0, "sd": np.sqrt(s["g2"] / w - mean**2), "share": s["share"] / w, "chance": s["chance"] / w, "hyp": s["hyp"] / w,
           "gross": s["hyp"] @ derive / w}
    cum = np.cumsum(s["hist"], axis=1)
    rows = np.arange(len(cum))
    for name, p in QUANT:
        goal = p * cum[:, -1]
        i = (cum < goal[:, None]).sum(1)
        out[name] = LO + WIDTH * (i + (goal - (cum[rows, i] - s["hist"][rows, i])) / s["hist"][rows, i])
    return out


def whole(groups, md):
    """Figures of all groups together and their jackknife standard errors; sums of everything.

    `gross`: marginal chance of each seam, then the chance of all pairs together.
    """
    derive = np.zeros((len(md.hyps), md.n_seams + 1))
    for a, h in enumerate(md.hyps):
        derive[a, list(h)] = 1.0
        derive[a, -1] = len(h) == 2
    total = groups[0]
    for g in groups[1:]:
        total = add(total, g)
    fig = figures(total, derive)
    n = len(groups)
    left = [figures({k: total[k] - g[k] for k in total}, derive) for g in groups]
    se = {k: np.sqrt((n - 1) / n * np.sum((np.stack([f[k] for f in left]) - np.mean([f[k] for f in left], axis=0)) ** 2, axis=0)) for k in fig}
    return fig, se, total
