"""Proposals that meet tight readings exactly: all seams but one pivot from the prior, the pivot takes what is left (numpy, scipy).

A seam far out in its tail may be any of several, which makes many modes; a mixture over pivots covers them all and bounds the weights.
Readings: a total, or a total and the supply side alone, at 25 Pa.
"""
import numpy as np
from scipy.special import logsumexp
from scipy.stats import norm


class Pivot:
    """One pattern of wide readings; `sets`: the seams among which a pivot is picked, one set for each tight reading."""

    def __init__(self, target, wide, head_mean):
        md = target.md
        self.t, self.mu = target, head_mean.copy()
        every, sup = np.arange(md.n_seams), np.flatnonzero(md.supply)
        tight = [k for k in range(len(md.y)) if not wide[k]]
        self.tight = tight[::-1]                     # the supply side first, the total last
        self.sets = [np.flatnonzero(~md.supply) if k == 0 and len(tight) == 2 else sup if k == 1 else every for k in self.tight]
        c = md.c
        sd = np.sqrt(target.s**2 + target.f * (c["workmanship_sd"] ** 2 + c["habit_sd"] ** 2))
        self.beta = []
        for k, s in zip(self.tight, self.sets):
            y = md.y[k] - (md.y[1] if k == 0 and len(tight) == 2 else 0.0)
            b = norm.pdf(np.log(0.6 * y), target.m[s], sd[s])
            self.beta.append(0.7 * b / b.sum() + 0.3 / len(s))

    def draw(self, rng, n):
        t, md = self.t, self.t.md
        head = self.mu + rng.standard_normal((n, t.head))
        lnq = t.spread(head) + t.s * rng.standard_normal((n, md.n_seams))
        rows = np.arange(n)
        for k, s, b in zip(self.tight, self.sets, self.beta):
            pick = s[rng.choice(len(s), n, p=b)]
            lnq[rows, pick] = -np.inf
            left = md.y[k] + md.sigma[k] * rng.standard_normal(n) - np.exp(lnq) @ md.part[k]
            lnq[rows, pick] = np.log(np.maximum(left, 1e-20))        # nothing left: a place where the target is nil
        return t.from_lnq(head, lnq)

    def ln(self, z):
        t, md = self.t, self.t.md
        lnq = t.lnq(z)
        own = -0.5 * ((lnq - t.spread(z)) / t.s) ** 2 - np.log(t.s) - 0.5 * np.log(2 * np.pi)
        head = z[:, :t.head]
        lp = own.sum(1) - 0.5 * ((head - self.mu) ** 2).sum(1) - t.head / 2 * np.log(2 * np.pi)
        for k, s, b in zip(self.tight, self.sets, self.beta):
            lp = lp + norm.logpdf(np.exp(lnq) @ md.part[k], md.y[k], md.sigma[k]) + logsumexp(np.log(b) + lnq[:, s] - own[:, s], axis=1)
        return lp
