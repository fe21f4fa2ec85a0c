"""Importance sampling, hypothesis by hypothesis (numpy and scipy). Equations: README.md, "Importance sampling"."""
import itertools

import numpy as np
from scipy.special import gammaln, log_ndtr, logsumexp
from scipy.stats import norm

import figures
from pivot import Pivot

NU = 12.0            # degrees of freedom of the proposals


class Target:
    """ln density of one gross hypothesis in z = (w, habits, exponent shifts, observers, then for each block of seams ln of its sum and ln ratios)."""

    def __init__(self, md, blocks, hyp=()):
        self.md, self.blocks, c = md, blocks, md.c
        g = np.zeros(md.n_seams, bool)
        g[list(hyp)] = True
        self.gross = g
        self.m = np.where(g, md.gross_m, md.m)
        self.f = np.where(g, 0.0, md.field)
        self.s = np.where(g, c["gross_sd"], md.own)
        self.n0 = np.where(g, c["gross_exponent"], md.n0)
        self.h_types = sorted({int(t) for t, f in zip(md.type, md.field) if f})
        self.n_h, self.n_n, self.n_o = len(self.h_types), md.n_types if md.uses_n else 0, md.n_obs
        self.head = 1 + self.n_h + self.n_n + self.n_o
        self.dim = self.head + md.n_seams
        self.hcol = np.array([1 + self.h_types.index(int(t)) if int(t) in self.h_types else 0 for t in md.type])
        self.const = -self.dim / 2 * np.log(2 * np.pi) - np.log(self.s).sum()
        self.odds = md.odds[list(hyp)].sum() if hyp else 0.0

    def lnq(self, z):
        out = np.empty((len(z), self.md.n_seams))
        at = self.head
        for b in self.blocks:
            u = np.concatenate([np.zeros((len(z), 1)), z[:, at + 1:at + len(b)]], axis=1)
            out[:, b] = z[:, at:at + 1] + u - logsumexp(u, axis=1)[:, None]
            at += len(b)
        return out

    def from_lnq(self, head, lnq):
        z = np.empty((len(lnq), self.dim))
        z[:, :self.head] = head
        at = self.head
        for b in self.blocks:
            z[:, at] = logsumexp(lnq[:, b], axis=1)
            z[:, at + 1:at + len(b)] = lnq[:, b[1:]] - lnq[:, b[:1]]
            at += len(b)
        return z

    def spread(self, z):
        c = self.md.c
        return self.m + self.f * (c["workmanship_sd"] * z[:, :1] + c["habit_sd"] * z[:, self.hcol])

    def ln_prior(self, z, lnq):
        """Prior density, odds of the hypothesis not included."""
        return self.const - 0.5 * (z[:, :self.head] ** 2).sum(1) - 0.5 * (((lnq - self.spread(z)) / self.s) ** 2).sum(1)

    def readings(self, z, lnq):
        md, c = self.md, self.md.c
        if md.uses_n:
            shift = z[:, 1 + self.n_h:1 + self.n_h + self.n_n][:, md.type] * np.where(self.gross, 0.0, c["exponent_sd"])
            n = np.clip(self.n0 + shift, c["exponent_min"], c["exponent_max"])
        h = np.empty((len(z), len(md.y)))
        q = np.exp(lnq)
        for k, p in enumerate(md.p):
            h[:, k] = (q if p == 25.0 else np.exp(lnq + n * np.log(p / 25.0))) @ md.part[k]
        return h

    def rest(self, z, lnq):
        """Prior and looks."""
        md, c = self.md, self.md.c
        lp = self.ln_prior(z, lnq) + self.odds
        for j, i in enumerate(md.lk_seam):
            u = lnq[:, i] + self.n0[i] * md.lk_lp[j] - md.lk_lamt[j] + c["observer_sd"] * z[:, 1 + self.n_h + self.n_n + md.lk_obs[j]]
            a1, a2 = (np.log(c["smoke_t1_m3_s"]) - u) / c["smoke_sd"], (np.log(c["smoke_t2_m3_s"]) - u) / c["smoke_sd"]
            r = md.lk_rep[j]
            if r == 0:
                lp = lp + log_ndtr(a1)
            elif r == 2:
                lp = lp + log_ndtr(-a2)
            else:                                     # both limits turned to the lower tail before subtracting
                flip = a1 + a2 > 0
                hi, lo = log_ndtr(np.where(flip, -a1, a2)), log_ndtr(np.where(flip, -a2, a1))
                lp = lp + hi + np.log1p(-np.exp(lo - hi))
        for i, lg in md.gaps:
            lp = lp + norm.logpdf(lnq[:, i], lg, c["gap_sd"])
        return lp

    def errors(self, h):
        """ln of the tight and the wide term of each reading, chances included."""
        md, w = self.md, self.md.c["wide_share"]
        e = md.y - h
        return (np.log((1 - w) / md.sigma) - 0.5 * (e / md.sigma) ** 2 - 0.5 * np.log(2 * np.pi),
                np.log(w / md.wide) - 0.5 * (e / md.wide) ** 2 - 0.5 * np.log(2 * np.pi))

    def ln(self, z):
        """Exact ln density, wide errors summed; also ln q25 and the chance that each reading is wide given the draw."""
        lnq = self.lnq(z)
        t, w = self.errors(self.readings(z, lnq))
        s = np.logaddexp(t, w)
        return self.rest(z, lnq) + s.sum(1), lnq, np.exp(w - s)

    def ln_pattern(self, z, wide):
        """ln density given which readings are wide: used only to place proposals."""
        lnq = self.lnq(z)
        t, w = self.errors(self.readings(z, lnq))
        return self.rest(z, lnq) + np.where(wide, w, t).sum(1)


def derivatives(f, x, h=2e-3):
    d = len(x)
    e = np.eye(d) * h
    i, j = np.triu_indices(d, 1)
    v = f(np.concatenate([x[None], x + e, x - e, x + e[i] + e[j], x - e[i] - e[j]]))
    f0, fp, fm, pp, mm = v[0], v[1:d + 1], v[d + 1:2 * d + 1], v[2 * d + 1:2 * d + 1 + len(i)], v[2 * d + 1 + len(i):]
    hess = np.diag((fp + fm - 2 * f0) / h**2)
    hess[i, j] = hess[j, i] = (pp + mm + 2 * f0 - fp[i] - fm[i] - fp[j] - fm[j]) / (2 * h**2)
    return f0, (fp - fm) / (2 * h), hess


def climb(f, x, steps=60):
    """Damped Newton ascent; returns the mode and the inverse of minus the Hessian there."""
    for _ in range(steps):
        f0, g, hess = derivatives(f, x)
        ev, vec = np.linalg.eigh(-hess)
        ev = np.maximum(np.abs(ev), 0.05)
        step = vec @ ((vec.T @ g) / ev)
        big = np.abs(step).max()
        if big > 1.5:
            step *= 1.5 / big
        sizes = 0.5 ** np.arange(12)
        v = f(x + sizes[:, None] * step)
        best = int(np.argmax(v))
        if v[best] <= f0 + 1e-7:
            break
        x = x + sizes[best] * step
    return x, (vec / ev) @ vec.T, f0


class Proposal:
    def __init__(self, mode, cov):
        self.mode, self.low = mode, np.linalg.cholesky(cov)
        self.inv = np.linalg.inv(self.low).T
        d = len(mode)
        self.const = gammaln((NU + d) / 2) - gammaln(NU / 2) - d / 2 * np.log(NU * np.pi) - np.log(np.diag(self.low)).sum()

    def draw(self, rng, n):
        return self.mode + (rng.standard_normal((n, len(self.mode))) @ self.low.T) * np.sqrt(NU / rng.chisquare(NU, n))[:, None]

    def ln(self, z):
        r = (((z - self.mode) @ self.inv) ** 2).sum(1)
        return self.const - (NU + len(self.mode)) / 2 * np.log1p(r / NU)


class PriorProposal:
    """The prior of the hypothesis: keeps the weights bounded where wide errors leave the flows free."""

    def __init__(self, target):
        self.t = target

    def draw(self, rng, n):
        t = self.t
        head = rng.standard_normal((n, t.head))
        return t.from_lnq(head, t.spread(head) + t.s * rng.standard_normal((n, t.md.n_seams)))

    def ln(self, z):
        return self.t.ln_prior(z, self.t.lnq(z))


def patterns(md):
    k = len(md.y)
    if k <= 3:
        return [np.array(p, bool) for p in itertools.product((False, True), repeat=k)]
    return [np.zeros(k, bool)] + [np.arange(k) == j for j in range(k)]


def prepare(md, blocks, scale=1.05, log=print, pivots=False):
    """A target and its proposals for every gross hypothesis."""
    out = []
    for hyp in md.hyps:
        tg = Target(md, blocks, hyp)
        start = tg.from_lnq(np.zeros(tg.head), tg.m[None])[0]
        props, lnz, pivot = [], [], []
        for pat in patterns(md):
            x, cov, f0 = climb(lambda z: tg.ln_pattern(z, pat), start)
            cov = (cov + cov.T) / 2
            props.append(Proposal(x, cov * scale**2))
            lnz.append(f0 + tg.dim / 2 * np.log(2 * np.pi) + 0.5 * np.linalg.slogdet(cov)[1])
            if pivots and not pat.all():
                pivot.append(Pivot(tg, pat, x[:tg.head]))
        lnz += [lnz_max - 3.0 for lnz_max in [max(lnz)] * len(pivot)]
        props += pivot
        props.append(PriorProposal(tg))
        lnz.append(max(lnz) - 3.0)
        out.append([tg, props, np.array(lnz)])
    return out


def draw(rng, tg, props, counts):
    """Draws of one hypothesis from its mixture with fixed counts; ln weight against the whole mixture."""
    z = np.concatenate([p.draw(rng, n) for p, n in zip(props, counts) if n])
    lmix = logsumexp(np.stack([p.ln(z) + np.log(n) for p, n in zip(props, counts) if n]), axis=0)
    lp, lnq, wide = tg.ln(z)
    return lp - lmix, lnq, wide, z


def allocate(n, lnw, floor, n_safe):
    """How many draws each hypothesis and pattern gets: in proportion to the root mean square of its weights, with a floor."""
    top = max(a.max() for a in lnw)
    ev = [np.exp(a - top) for a in lnw]
    total, size = sum(a.sum() for a in ev), sum(a.size for a in ev)
    share = [(1 - floor) * a / total + floor / size for a in ev]
    for a in share:
        n_fit = len(a) - n_safe
        a[n_fit:] = np.maximum(a[n_fit:], 0.07 * a.sum())      # never less than that from the prior and from each pivot proposal
    return [np.maximum(np.round(a * n).astype(int), 8) for a in share]


def run(md, blocks, draws, groups, seed, log=print, tune=3, refine=10, floor=0.02, pivots=False):
    prep = prepare(md, blocks, pivots=pivots)
    lnw = [p[2] for p in prep]
    n_safe = sum(not isinstance(p, Proposal) for p in prep[0][1])
    rng = np.random.default_rng([seed, 999])
    for r in range(tune):                              # pilot runs: better evidence of each proposal's part
        counts = allocate(draws // groups, lnw, floor, n_safe)
        new = [None] * len(prep)
        tot, tot2 = 0.0, 0.0
        for h, (tg, props, _) in enumerate(prep):
            lw, _, wide, z = draw(rng, tg, props, counts[h])
            lc = np.stack([p.ln(z) + np.log(n) for p, n in zip(props, counts[h])])
            resp = np.exp(lc - logsumexp(lc, axis=0))
            w = np.exp(lw)
            new[h] = np.log(counts[h] * (resp @ w**2) + 1e-300) / 2
            tot, tot2 = tot + w.sum(), tot2 + (w * w).sum()
            if refine and r < tune - 1:                # re-fit each proposal that bears weight to its weighted draws
                for j in range(len(props) - 1):
                    if resp[j] @ w <= 0:
                        continue
                    wj = resp[j] * w
                    if wj.sum() ** 2 / ((wj**2).sum() + 1e-300) > refine * tg.dim:
                        wj = wj / wj.sum()
                        mu = wj @ z
                        if isinstance(props[j], Pivot):
                            props[j].mu = mu[:tg.head]
                            continue
                        props[j] = Proposal(mu, ((z - mu) * wj[:, None]).T @ (z - mu) * (1.03**2 * (NU - 2) / NU if NU > 2 else 1))
        lnw = new
        log(f"pilot {r}: efficiency {tot**2 / tot2 / sum(map(sum, counts)):.4f} of {sum(map(sum, counts))}")
    counts = allocate(draws // groups, lnw, floor, n_safe)
    top = None
    gs = []
    for g in range(groups):
        rng = np.random.default_rng([seed, g])
        acc = None
        for h, (tg, props, _) in enumerate(prep):
            lw, lnq, wide, _ = draw(rng, tg, props, counts[h])
            top = max(a.max() for a in lnw) if top is None else top
            part = figures.group_sums(np.exp(lw - top), lnq, md.supply, figures.with_joint(wide, np), np.full(len(lw), h), len(md.hyps))
            acc = part if acc is None else figures.add(acc, part)
        gs.append(acc)
    fig, se, total = figures.whole(gs, md)
    return fig, se, {"draws": int(sum(map(sum, counts))) * groups, "effective_draws": round(total["w"] ** 2 / total["w2"])}
