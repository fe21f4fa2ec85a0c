#!/usr/bin/env python3
"""Solve small duct networks with 40-digit arithmetic and write one JSON file per network.

The equations stand in README.md. Method: unknowns are the flow of every branch, the pressure of every node and the
fan's flow; Newton's method on all equations at once (laws written as pressure = function of flow, the reverse of
a nodal solver), slopes by central differences in 50-digit arithmetic, start from a damped double-precision solve.
Each answer is then checked by a second method: node pressures alone as unknowns, each branch inverted by bisection
(Brent) in double precision. Sensitivities are central differences of the whole solve, repeated with another step.

Needs: mpmath, numpy, scipy.   Run: python make_networks.py   (writes the JSON files beside this script)
"""
import json
import math
import pathlib

import mpmath as mp
import numpy as np
from scipy import optimize

mp.mp.dps = 50
HERE = pathlib.Path(__file__).resolve().parent
DELTA = mp.mpf("0.01")                      # Pa: below this difference a seam follows the cubic law
RE_A, RE_B = mp.mpf(2000), mp.mpf(4000)
RHO = 1.204                                 # kg/m3
MU = 1.458e-6 * 293.15 ** 1.5 / (293.15 + 110.4)   # Pa s, Sutherland form at 20 C


# ---------------------------------------------------------------- laws, in any number type with its maths module
def colebrook_x(re, rel, m):
    """x = 1/sqrt(f) of the Colebrook-White equation by Newton's method."""
    ln10 = m.log(m.mpf(10)) if m is mp else math.log(10.0)
    c251, c37 = (mp.mpf("2.51"), mp.mpf("3.7")) if m is mp else (2.51, 3.7)
    tol = mp.mpf(10) ** -46 if m is mp else 1e-15
    x = 6 * (re / re)
    for _ in range(100):
        a = rel / c37 + c251 * x / re
        step = (x + 2 * m.log(a) / ln10) / (1 + 2 * c251 / (re * a * ln10))
        x -= step
        if abs(step) < tol * x:
            return x
    if m is mp:
        raise RuntimeError("friction factor did not settle")
    return x


def blend_ends(rel, m):
    """ln f and d ln f / d ln Re at Re = 4000: slope = -2 k/(1+k), k = 2*2.51/(a Re ln 10)."""
    re = RE_B if m is mp else 4000.0
    ln10 = m.log(m.mpf(10)) if m is mp else math.log(10.0)
    c251, c37 = (mp.mpf("2.51"), mp.mpf("3.7")) if m is mp else (2.51, 3.7)
    x = colebrook_x(re, rel, m)
    a = rel / c37 + c251 * x / re
    k = 2 * c251 / (a * re * ln10)
    return -2 * m.log(x), -2 * k / (1 + k)


def friction(re, rel, m):
    """Darcy friction factor: laminar, cubic Hermite in ln f over ln Re, Colebrook-White."""
    lo, hi = (RE_A, RE_B) if m is mp else (2000.0, 4000.0)
    if re <= lo:
        return 64 / re
    if re >= hi:
        return 1 / colebrook_x(re, rel, m) ** 2
    h = m.log(hi / lo)
    t = m.log(re / lo) / h
    y0, m0 = m.log(64 / lo), -1
    y1, m1 = blend_ends(rel, m)
    return m.exp((2 * t**3 - 3 * t**2 + 1) * y0 + (t**3 - 2 * t**2 + t) * h * m0
                 + (-2 * t**3 + 3 * t**2) * y1 + (t**3 - t**2) * h * m1)


def branch_dp(b, q, air, m):
    """Pressure at the tail minus pressure at the head for flow q (positive tail to head)."""
    num = m.mpf if m is mp else float
    if b["kind"] == "component":
        mag = num(b["dp_pa"]) * (abs(q) / num(b["q_m3_s"])) ** num(b["m"])
        return mag if q > 0 else -mag
    rho, mu = num(air["rho"]), num(air["mu"])
    d, v = num(b["hydraulic_diameter_m"]), abs(q) / num(b["area_m2"])
    length, mult, loss = num(b["length_m"]), num(b["friction_factor"]), num(b["loss"])
    re = rho * v * d / mu
    if re <= 2000:                           # 64/Re written out, so that zero flow needs no special case
        mag = mult * 32 * mu * length * v / d**2 + loss * rho * v * v / 2
    else:
        f = friction(re, num(b["roughness_m"]) / d, m)
        mag = (f * length / d * mult + loss) * rho * v * v / 2
    return mag if q >= 0 else -mag


def seam_flow(s, p, m):
    """Flow out of the duct at node pressure p."""
    num = m.mpf if m is mp else float
    delta = DELTA if m is mp else 0.01
    q25, n, d = s["q25"], s["n_"], p - s["zone"]
    if abs(d) >= delta:
        mag = q25 * (abs(d) / 25) ** n
        return mag if d > 0 else -mag
    x = d / delta
    return q25 * (delta / 25) ** n * ((3 - n) / 2 * x + (n - 1) / 2 * x**3)


# ---------------------------------------------------------------- solve in 50 digits
def prepared(net):
    """Seams in high precision: values that the sensitivities disturb."""
    return [{"node": s["node"], "q25": mp.mpf(s["q25_m3_s"]), "n_": mp.mpf(s["n"]), "zone": mp.mpf(s["zone_pa"])}
            for s in net["seams"]]


def newton(net, seams, start, tap_shift=0):
    """Newton's method on (branch flows, node pressures, fan flow). Returns the vector and the worst residual."""
    nb, nn = len(net["branches"]), len(net["nodes"])
    fan, size = net["fan"], nb + nn + (1 if net["fan"] else 0)
    held = {h["node"]: mp.mpf(h["pressure_pa"]) for h in net["held"]}
    x = mp.matrix(start)
    e = mp.mpf(10) ** -22
    for it in range(60):
        r, j = mp.matrix(size, 1), mp.matrix(size, size)
        for i, b in enumerate(net["branches"]):
            q = x[i]
            h = e * max(abs(q), mp.mpf("1e-6"))
            r[i] = x[nb + b["tail"]] - x[nb + b["head"]] - branch_dp(b, q, net["air"], mp)
            j[i, i] = -(branch_dp(b, q + h, net["air"], mp) - branch_dp(b, q - h, net["air"], mp)) / (2 * h)
            j[i, nb + b["tail"]] += 1
            j[i, nb + b["head"]] -= 1
            for node, sign in ((b["tail"], -1), (b["head"], 1)):
                if node not in held:
                    r[nb + node] += sign * q
                    j[nb + node, i] += sign
        for s in seams:
            k = s["node"]
            if k not in held:
                p = x[nb + k]
                r[nb + k] -= seam_flow(s, p, mp)
                j[nb + k, nb + k] -= (seam_flow(s, p + e, mp) - seam_flow(s, p - e, mp)) / (2 * e)
        for k, value in held.items():
            r[nb + k], j[nb + k, nb + k] = x[nb + k] - value, mp.mpf(1)
        if fan:
            r[nb + fan["node"]] += x[size - 1]
            j[nb + fan["node"], size - 1] += 1
            r[size - 1] = x[nb + fan["tap"]] - mp.mpf(fan["tap_pa"]) - tap_shift
            j[size - 1, nb + fan["tap"]] = mp.mpf(1)
        worst = max(abs(v) for v in r)
        if worst < mp.mpf(10) ** -40:
            return x, worst
        step = mp.lu_solve(j, -r)
        x += step
    raise RuntimeError(f"{net['name']}: 50-digit Newton did not settle, residual {mp.nstr(worst, 5)}")


# ---------------------------------------------------------------- double precision, nodal, by another method
def branch_flow(b, dp, air):
    """Invert a branch law by bracketing."""
    if dp == 0.0:
        return 0.0
    hi = 1e-4
    while branch_dp(b, hi, air, math) < abs(dp):
        hi *= 2
    q = optimize.brentq(lambda v: branch_dp(b, v, air, math) - abs(dp), 0.0, hi, xtol=1e-18, rtol=1e-15)
    return math.copysign(q, dp)


def nodal(net):
    """Node pressures (and fan flow) by a general root-finder on node balances in double precision."""
    held = {h["node"]: h["pressure_pa"] for h in net["held"]}
    fan = net["fan"]
    seams = [{"node": s["node"], "q25": s["q25_m3_s"], "n_": s["n"], "zone": s["zone_pa"]} for s in net["seams"]]
    free = [k for k in range(len(net["nodes"])) if k not in held]
    tap = fan["tap_pa"] if fan else next(iter(held.values()))
    scale = sum(s["q25"] for s in seams)

    def balance(u):
        p = dict(held)
        p.update({k: u[i] for i, k in enumerate(free)})
        inflow = {k: 0.0 for k in range(len(net["nodes"]))}
        for b in net["branches"]:
            q = branch_flow(b, p[b["tail"]] - p[b["head"]], net["air"])
            inflow[b["tail"]] -= q
            inflow[b["head"]] += q
        for s in seams:
            inflow[s["node"]] -= seam_flow(s, p[s["node"]], math)
        out = [inflow[k] / scale for k in free]
        if fan:
            out[free.index(fan["node"])] += u[-1]
            out.append((p[fan["tap"]] - fan["tap_pa"]) / 25.0)
        return np.array(out)

    spread = np.array([0.999 - 0.04 * i for i in range(len(free))])
    u0 = np.append(tap * spread, 1.0 * np.sign(tap)) if fan else tap * spread
    best = None
    for trial in range(6):
        sol = optimize.least_squares(balance, u0, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=np.maximum(abs(u0), 1e-2), max_nfev=4000)
        if best is None or sol.cost < best.cost:
            best = sol
        if best.cost < 1e-26:
            break
        u0 = best.x * (1 + 1e-3 * np.cos(np.arange(len(u0)) + trial))
    p = dict(held)
    p.update({k: best.x[i] for i, k in enumerate(free)})
    q = [branch_flow(b, p[b["tail"]] - p[b["head"]], net["air"]) for b in net["branches"]]
    return [p[k] for k in range(len(net["nodes"]))], q, (best.x[-1] * scale if fan else None), math.sqrt(2 * best.cost)


# ---------------------------------------------------------------- answer of one network
def reading(net, seams, x):
    """Fan flow, or without a fan the sum of what the held nodes feed in (= sum of all seam flows)."""
    if net["fan"]:
        return x[len(x) - 1]
    nb = len(net["branches"])
    return sum(seam_flow(s, x[nb + s["node"]], mp) for s in seams)


def slope(net, x0, disturb, h):
    out = []
    for sign in (1, -1):
        seams = prepared(net)
        shift = disturb(seams, sign * h) or 0
        x, _ = newton(net, seams, list(x0), shift)
        out.append(reading(net, seams, x))
    return (out[0] - out[1]) / (2 * h)


def solve(net):
    p, q, fan_flow, cost = nodal(net)
    start = [mp.mpf(v) for v in q + p] + ([mp.mpf(fan_flow)] if net["fan"] else [])
    seams = prepared(net)
    x, worst = newton(net, seams, start)
    nb, nn = len(net["branches"]), len(net["nodes"])
    p_hi, q_hi = [x[nb + k] for k in range(nn)], [x[i] for i in range(nb)]
    gap = max(abs(float(a) - b) for a, b in zip(p_hi, p))
    gap_q = max(abs(float(a) - b) for a, b in zip(q_hi, q)) / sum(s["q25_m3_s"] for s in net["seams"])
    assert gap < 1e-6 and gap_q < 1e-6, (net["name"], gap, gap_q, cost)
    flows = [seam_flow(s, p_hi[s["node"]], mp) for s in seams]
    if net["fan"]:
        assert abs(sum(flows) - x[len(x) - 1]) < mp.mpf(10) ** -35 or net["held"]
    h1, h2 = mp.mpf(10) ** -11, mp.mpf(10) ** -12
    d = {"d_ln_q25": [], "d_n": [], "d_zone_pa": []}
    for i in range(len(seams)):
        def by_q(ss, h, i=i):
            ss[i]["q25"] *= mp.exp(h)

        def by_n(ss, h, i=i):
            ss[i]["n_"] += h

        def by_z(ss, h, i=i):
            ss[i]["zone"] += h

        for key, fn in (("d_ln_q25", by_q), ("d_n", by_n), ("d_zone_pa", by_z)):
            a, b = slope(net, x, fn, h1), slope(net, x, fn, h2)
            assert abs(a - b) <= mp.mpf(10) ** -16 * max(abs(b), mp.mpf(10) ** -6), (net["name"], key, i, a, b)
            d[key].append(float(b))
    rho, mu = net["air"]["rho"], net["air"]["mu"]
    re = [None if b["kind"] == "component" else
          float("%.5g" % (rho * abs(float(v)) / b["area_m2"] * b["hydraulic_diameter_m"] / mu)) for b, v in zip(net["branches"], q_hi)]
    held_in = []
    for hnode in net["held"]:
        k = hnode["node"]
        t = sum(f for f, s in zip(flows, seams) if s["node"] == k)
        t += sum(v for b, v in zip(net["branches"], q_hi) if b["tail"] == k) - sum(v for b, v in zip(net["branches"], q_hi) if b["head"] == k)
        held_in.append({"node": k, "injected_m3_s": float(t)})
    ans = {"node_pressure_pa": [float(v) for v in p_hi], "branch_flow_m3_s": [float(v) for v in q_hi],
           "branch_reynolds": re, "seam_flow_m3_s": [float(v) for v in flows],
           "fan_flow_m3_s": float(x[len(x) - 1]) if net["fan"] else None, "held": held_in,
           "reading_m3_s": float(reading(net, seams, x))}
    ans.update(d)
    if net["fan"]:
        ans["d_tap_pa"] = float(slope(net, x, lambda ss, h: h, h2))
    print(f"{net['name']:26s} residual {mp.nstr(worst, 2):>9s}  other method {gap:.1e} Pa  p {ans['node_pressure_pa'][0]:.3f}..{ans['node_pressure_pa'][-1]:.3f}"
          f"  reading {1000 * ans['reading_m3_s']:.4f} L/s  Re {min(r for r in re if r):.0f}..{max(r for r in re if r):.0f}")
    return ans


# ---------------------------------------------------------------- the networks (invented)
def rd(tail, head, length, dia, loss=0.0, eps=0.00009, mult=1.0):
    return {"kind": "duct", "tail": tail, "head": head, "length_m": length, "hydraulic_diameter_m": dia,
            "area_m2": round(math.pi * dia * dia / 4, 9), "roughness_m": eps, "friction_factor": mult, "loss": loss}


def rect(tail, head, length, a, b, loss=0.0, eps=0.00009):
    return {"kind": "duct", "tail": tail, "head": head, "length_m": length, "hydraulic_diameter_m": round(2 * a * b / (a + b), 9),
            "area_m2": round(a * b, 9), "roughness_m": eps, "friction_factor": 1.0, "loss": loss}


def comp(tail, head, dp, q, m):
    return {"kind": "component", "tail": tail, "head": head, "dp_pa": dp, "q_m3_s": q, "m": m}


def seam(node, lps, n, zone=0.0):
    return {"node": node, "zone_pa": zone, "q25_m3_s": round(lps / 1000.0, 9), "n": n}


def net(name, about, nodes, branches, seams, held=(), fan=None):
    return {"name": name, "about": about, "air": {"rho": RHO, "mu": MU}, "nodes": nodes,
            "held": [{"node": k, "pressure_pa": p} for k, p in held], "branches": branches, "seams": seams, "fan": fan}


def fan(node, tap, pa):
    return {"node": node, "tap": tap, "tap_pa": pa}


TREE = ["plenum", "trunk", "kitchen", "bath", "bedroom"]


def tree_branches():
    return [rect(0, 1, 7.3, 0.508, 0.203, 0.35), rd(1, 2, 4.0, 0.150, 1.9), rd(1, 3, 5.5, 0.125, 2.4), rd(1, 4, 6.0, 0.150, 3.1, 0.0009, 1.7)]


def networks():
    yield net("single_leaky_duct", "one round duct held at 25 Pa, leaking at both ends", ["plenum", "end"],
              [rd(0, 1, 12.0, 0.125, 1.2)], [seam(0, 2.0, 0.6), seam(1, 24.0, 0.58)], held=[(0, 25.0)])
    yield net("tree_three_branches", "trunk with three branches, fan and tap at the plenum", TREE, tree_branches(),
              [seam(0, 6.0, 0.6), seam(1, 9.5, 0.65), seam(2, 14.0, 0.62), seam(2, 3.0, 0.55), seam(3, 11.0, 0.55), seam(4, 17.0, 0.6)],
              fan=fan(0, 0, 25.0))
    yield net("tree_low_flow", "the tree well sealed: laminar, transitional and turbulent branches together", TREE,
              [rect(0, 1, 7.3, 0.508, 0.203, 0.35), rd(1, 2, 14.0, 0.100, 1.9), rd(1, 3, 15.5, 0.100, 2.4), rd(1, 4, 16.0, 0.125, 3.1, 0.0009, 1.7)],
              [seam(0, 0.5, 0.6), seam(1, 0.6, 0.65), seam(2, 1.4, 0.62), seam(2, 2.2, 0.55), seam(3, 0.7, 0.55), seam(4, 6.4, 0.6)],
              fan=fan(0, 0, 25.0))
    yield net("one_loop", "perimeter loop of four ducts fed at one corner", ["plenum", "corner a", "corner b", "corner c", "corner d"],
              [rd(0, 1, 3.0, 0.200, 0.6), rd(1, 2, 8.0, 0.150, 0.4), rd(2, 3, 6.0, 0.150, 0.4), rd(3, 4, 8.0, 0.125, 0.4), rd(4, 1, 6.0, 0.150, 0.4)],
              [seam(0, 2.0, 0.6), seam(2, 5.0, 0.65), seam(3, 33.0, 0.6), seam(4, 4.0, 0.55)], fan=fan(0, 0, 25.0))
    yield net("two_loops_coil", "a loop on the return and one on the supply, idle blower and coil between", ["return box", "return left", "return right", "cabinet inlet",
              "cabinet outlet", "supply plenum", "supply left", "supply right"],
              [rd(0, 1, 4.0, 0.250, 0.8), rd(0, 2, 6.0, 0.200, 0.8), rd(1, 3, 3.0, 0.250, 1.1), rd(2, 3, 2.0, 0.200, 1.5), comp(3, 4, 18.0, 0.35, 1.8),
               comp(4, 5, 55.0, 0.50, 1.7), rd(5, 6, 7.0, 0.200, 0.9), rd(5, 7, 9.0, 0.150, 0.9), rd(6, 7, 5.0, 0.125, 0.7)],
              [seam(0, 12.0, 0.6), seam(1, 5.0, 0.62), seam(2, 3.0, 0.65), seam(3, 8.5, 0.6), seam(4, 2.8, 0.6), seam(5, 4.0, 0.6), seam(6, 16.0, 0.55), seam(7, 22.0, 0.58)],
              fan=fan(3, 5, 25.0))
    yield net("fan_far_from_tap", "fan at the return grille, tap at the supply plenum", ["return grille", "return plenum", "cabinet inlet", "cabinet outlet", "supply plenum", "boot"],
              [rd(0, 1, 6.0, 0.350, 0.9, 0.0009, 1.4), rect(1, 2, 0.5, 0.45, 0.4, 0.0), comp(2, 3, 20.0, 0.30, 1.9), comp(3, 4, 60.0, 0.45, 1.6), rd(4, 5, 8.0, 0.200, 2.2)],
              [seam(0, 1.5, 0.55), seam(1, 9.0, 0.6), seam(2, 8.5, 0.6), seam(3, 2.8, 0.6), seam(4, 21.0, 0.62), seam(5, 38.0, 0.58)], fan=fan(0, 4, 25.0))
    yield net("zones_inward", "surroundings at several pressures, some above the duct: those seams flow inward", TREE, tree_branches(),
              [seam(0, 6.0, 0.6, -4.0), seam(1, 9.5, 0.65, 38.0), seam(2, 14.0, 0.62, 0.0), seam(2, 3.0, 0.55, 50.0), seam(3, 11.0, 0.55, 12.5), seam(4, 17.0, 0.6, 30.0)],
              fan=fan(0, 0, 25.0))
    chain = ["node %d" % k for k in range(12)]
    yield net("long_chain", "twelve nodes in a row, small leaky flex: pressure falls by about half", chain,
              [rd(k, k + 1, 3.0, 0.125, 0.15 if k % 3 else 0.6, 0.0009, 1.3) for k in range(11)],
              [seam(k, 1.6 + 0.35 * (k % 4) + (4.0 if k == 11 else 0.0), (0.6, 0.65, 0.55)[k % 3]) for k in range(12)], fan=fan(0, 0, 25.0))
    yield net("depressurised", "the tree pulled down to -25 Pa: every sign turns", TREE, tree_branches(),
              [seam(0, 6.0, 0.6), seam(1, 9.5, 0.65, -3.0), seam(2, 14.0, 0.62), seam(2, 3.0, 0.55, 2.0), seam(3, 11.0, 0.55), seam(4, 17.0, 0.6)],
              fan=fan(0, 0, -25.0))
    yield net("almost_no_difference", "to-outside style: zones within 0.01 Pa of the duct, above and below, and one just outside the cubic range", TREE, tree_branches(),
              [seam(0, 6.0, 0.6, 24.996), seam(1, 9.5, 0.65, ALMOST[0]), seam(2, 14.0, 0.62), seam(3, 11.0, 0.55, ALMOST[1]), seam(4, 17.0, 0.6, ALMOST[2]), seam(2, 3.0, 0.5, 1.0)],
              fan=fan(0, 0, 25.0))
    yield net("open_register", "plenum held at 30 Pa, one register open to a room held at 2 Pa through its grille, the other side leaking", ["plenum", "tee", "boot", "room", "far boot"],
              [rd(0, 1, 5.0, 0.250, 0.5), rd(1, 2, 4.0, 0.150, 2.0), comp(2, 3, 8.0, 0.060, 1.9), rd(4, 1, 6.5, 0.125, 1.4)],
              [seam(0, 3.0, 0.6), seam(1, 5.0, 0.65), seam(2, 2.5, 0.55, 2.0), seam(4, 13.0, 0.6, -5.0)], held=[(0, 30.0), (3, 2.0)])


ALMOST = [24.9, 23.9, 23.9]


def settle_almost():
    """Place three zones a known small distance from the node pressures (rounded to 1e-7 Pa, then taken as given)."""
    for _ in range(8):
        n = next(x for x in networks() if x["name"] == "almost_no_difference")
        p, *_ = nodal(n)
        ALMOST[:] = [round(p[1] + 0.0000123, 7), round(p[3] + 0.0062, 7), round(p[4] - 0.0131, 7)]


if __name__ == "__main__":
    settle_almost()
    for n in networks():
        n["answer"] = solve(n)
        text = json.dumps(n, indent=1)
        # one line for each innermost list or mapping keeps the files readable
        import re as regex
        text = regex.sub(r"\{[^{}\[\]]*\}|\[[^{}\[\]]*\]", lambda t: regex.sub(r"\s*\n\s*", " ", t.group(0)), text)
        (HERE / (n["name"] + ".json")).write_text(text + "\n")
