"""Gradient-based chains on the whitened x (jax, numpyro's no-U-turn sampler): gross hypotheses and error widths summed in the density.

A density written apart from importance.py and prior_draws.py: it works in x, not in flows.
"""
import jax
import jax.numpy as jnp
import numpy as np
from jax.scipy.special import log_ndtr, logsumexp
from numpyro.infer import MCMC, NUTS

import figures

jax.config.update("jax_enable_x64", True)


def build(md):
    """Functions of one x: ln posterior of every hypothesis (not normalised), ln q25 ordinary and torn, chance of wide errors by hypothesis."""
    c, ns, nt = md.c, md.n_seams, md.n_types
    dim = 1 + 2 * nt + md.n_obs + ns          # workmanship, habits and exponent shifts of every type (unused ones keep their prior), observers, own
    first = np.array([h[0] if len(h) > 0 else ns for h in md.hyps])
    second = np.array([h[1] if len(h) > 1 else ns for h in md.hyps])
    lt1, lt2 = np.log(c["smoke_t1_m3_s"]), np.log(c["smoke_t2_m3_s"])

    def smoke(lnq, n0, off):
        u = lnq[md.lk_seam] + n0[md.lk_seam] * md.lk_lp - md.lk_lamt + off[md.lk_obs]
        b1, b2 = (u - lt1) / c["smoke_sd"], (u - lt2) / c["smoke_sd"]      # b1 > b2; none: Phi(-b1), strong: Phi(b2)
        # wisp = Phi(b1) - Phi(b2), seen from the nearer tail
        up = b1 + b2 > 0
        big, small = log_ndtr(jnp.where(up, -b2, b1)), log_ndtr(jnp.where(up, -b1, b2))
        wisp = big + jnp.log1p(-jnp.exp(small - big))
        ll = jnp.where(md.lk_rep == 0, log_ndtr(-b1), jnp.where(md.lk_rep == 2, log_ndtr(b2), wisp))
        return jnp.zeros(ns).at[md.lk_seam].add(ll)

    def seams(x):
        own = x[dim - ns:]
        lnq = md.m + md.field * (c["workmanship_sd"] * x[0] + c["habit_sd"] * x[1:1 + nt][md.type]) + md.own * own
        return lnq, md.gross_m + c["gross_sd"] * own

    def parts(x):
        lnq, lng = seams(x)
        off = c["observer_sd"] * x[1 + 2 * nt:1 + 2 * nt + md.n_obs]
        n = jnp.clip(md.n0 + c["exponent_sd"] * x[1 + nt:1 + 2 * nt][md.type], c["exponent_min"], c["exponent_max"])
        lr = np.log(md.p / 25.0)
        plain = smoke(lnq, md.n0, off) if len(md.lk_seam) else jnp.zeros(ns)
        for i, lg in md.gaps:
            plain = plain.at[i].add(-0.5 * ((lnq[i] - lg) / c["gap_sd"]) ** 2)
        torn = smoke(lng, np.full(ns, c["gross_exponent"]), off) if len(md.lk_seam) else jnp.zeros(ns)
        for i, lg in md.gaps:
            torn = torn.at[i].add(-0.5 * ((lng[i] - lg) / c["gap_sd"]) ** 2)
        flow = md.part * jnp.exp(lnq + n * lr[:, None])
        # what each torn seam adds; one seam more, adding nothing, stands for "no other seam"
        more = jnp.concatenate([(md.part * jnp.exp(lng + c["gross_exponent"] * lr[:, None]) - flow).T, jnp.zeros((1, len(lr)))])
        gain = jnp.append(torn - plain, 0.0)
        look = plain.sum() + gain[first] + gain[second]
        e = md.y - (flow.sum(1) + more[first] + more[second])
        tight = jnp.log((1 - c["wide_share"]) / md.sigma) - 0.5 * (e / md.sigma) ** 2
        wide = jnp.log(c["wide_share"] / md.wide) - 0.5 * (e / md.wide) ** 2
        both = jnp.logaddexp(tight, wide)
        return look + md.hyp_odds + both.sum(1) - 0.5 * (x**2).sum(), jnp.exp(wide - both)

    return dim, parts, seams


def run(md, chains, warmup, draws, thin, seed, groups=32, start=None):
    dim, parts, seams = build(md)
    hyp_member = np.zeros((len(md.hyps), md.n_seams), bool)
    for a, h in enumerate(md.hyps):
        hyp_member[a, list(h)] = True
    mcmc = MCMC(NUTS(potential_fn=lambda x: -logsumexp(parts(x)[0]), target_accept_prob=0.8), num_warmup=warmup, num_samples=draws, thinning=thin,
                num_chains=chains, chain_method="vectorized", progress_bar=False)
    init = np.random.default_rng([seed, 5]).standard_normal((chains, dim)) if start is None else start
    mcmc.run(jax.random.PRNGKey(seed), init_params=jnp.array(init))
    xs = mcmc.get_samples(group_by_chain=True)

    @jax.jit
    def after(x, key):
        lp, wide = jax.vmap(parts)(x)
        lnq, lng = jax.vmap(seams)(x)
        p = jax.nn.softmax(lp, axis=1)
        pick = jax.random.categorical(key, lp, axis=1)
        return jnp.where(jnp.array(hyp_member)[pick], lng, lnq), p.sum(0), jnp.einsum("nh,nhk->nk", p, figures.with_joint(wide, jnp))

    gs = []
    for g in range(groups):
        acc = None
        for ch in range(g, chains, groups):
            lnq, hyp, wide = (np.array(a) for a in after(xs[ch], jax.random.PRNGKey(1000 + ch)))
            part = figures.group_sums(np.ones(len(lnq)), lnq, md.supply, wide)
            part["hyp"] = hyp
            acc = part if acc is None else figures.add(acc, part)
        gs.append(acc)
    fig, se, total = figures.whole(gs, md)
    ess = np.median((fig["sd"] / se["mean"]) ** 2), np.min((fig["sd"] / se["mean"]) ** 2)
    return fig, se, {"draws": int(total["w"]), "effective_draws": round(float(ess[0])), "effective_draws_least": round(float(ess[1]))}
