#!/usr/bin/env python3
"""Second opinion on network solutions by convex optimisation. Equations and format stand in README.md.

Small cases: those of ../networks, by minimising the dual content over seam and loop flows with BFGS in 50-digit arithmetic.
Large cases: invented, power laws alone, by minimising the content over node pressures with L-BFGS in long double, and once
more by minimising the dual content over flows with a conic interior-point solver.

Needs: mpmath, numpy, cvxpy (with clarabel).   Run: python make_content.py [case ...]   (writes the JSON files beside this script)
"""
import json
import pathlib
import re as regex
import sys

import cvxpy as cp
import mpmath as mp
import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "networks"))
from make_networks import branch_dp, seam_flow  # noqa: E402

mp.mp.dps = 50
SMALL = ("tree_three_branches", "one_loop", "zones_inward")
SWITCH = 0.01                                   # Pa


# ---------------------------------------------------------------- small: dual content over flows, 50 digits
def seam_dp(s, q):
    """Pressure difference of a seam at a flow; power law only, so the answer has to lie outside the cubic range."""
    mag = 25 * (abs(q) / mp.mpf(s["q25_m3_s"])) ** (1 / mp.mpf(s["n"]))
    return mag if q >= 0 else -mag


def seam_work(s, q):
    """Integral of its pressure difference over flow."""
    n = mp.mpf(s["n"])
    return abs(seam_dp(s, q) * q) * n / (n + 1)


def branch_work(b, q, air):
    """Integral of the loss over flow, by quadrature between the corners of the friction law."""
    q = abs(q)
    corners = [mp.mpf(0), q]
    if b["kind"] == "duct":
        unit = mp.mpf(air["mu"]) / mp.mpf(air["rho"]) / mp.mpf(b["hydraulic_diameter_m"]) * mp.mpf(b["area_m2"])
        corners[1:1] = [re * unit for re in (2000, 4000) if re * unit < q]
    return mp.quad(lambda v: branch_dp(b, v, air, mp), corners)


def spanning_tree(net, root):
    """Tree branch to the parent of each node, and the order in which nodes were reached."""
    above, order, seen = {}, [root], {root}
    for node in order:
        for i, b in enumerate(net["branches"]):
            for a, c in ((b["tail"], b["head"]), (b["head"], b["tail"])):
                if a == node and c not in seen:
                    seen.add(c)
                    above[c] = (i, a)
                    order.append(c)
    return above, order


class Dual:
    """Dual content as a function of seam flows and of the flows of branches outside a spanning tree."""

    def __init__(self, net):
        self.net = net
        self.root = net["fan"]["node"]
        assert self.root == net["fan"]["tap"]
        self.above, self.order = spanning_tree(net, self.root)
        in_tree = {i for i, _ in self.above.values()}
        self.chords = [i for i in range(len(net["branches"])) if i not in in_tree]
        self.size = len(net["seams"]) + len(self.chords)

    def flows(self, z):
        net = self.net
        leaks, q = list(z[:len(net["seams"])]), [mp.mpf(0)] * len(net["branches"])
        need = [mp.mpf(0)] * len(net["nodes"])
        for s, v in zip(net["seams"], leaks):
            need[s["node"]] += v
        for i, v in zip(self.chords, z[len(leaks):]):
            q[i] = v
            need[net["branches"][i]["tail"]] += v
            need[net["branches"][i]["head"]] -= v
        for node in reversed(self.order[1:]):
            i, parent = self.above[node]
            q[i] = need[node] if net["branches"][i]["head"] == node else -need[node]
            need[parent] += need[node]
        return leaks, q, need[self.root]

    def value(self, z):
        """Work lost in branches and seams and done against the surroundings, less what the fan puts in."""
        net = self.net
        leaks, q, fan = self.flows(z)
        lost = sum(branch_work(b, v, net["air"]) for b, v in zip(net["branches"], q))
        lost += sum(seam_work(s, v) + mp.mpf(s["zone_pa"]) * v for s, v in zip(net["seams"], leaks))
        return lost - mp.mpf(net["fan"]["tap_pa"]) * fan

    def pressures(self, q):
        """Along the tree from the held node."""
        p = {self.root: mp.mpf(self.net["fan"]["tap_pa"])}
        for node in self.order[1:]:
            i, parent = self.above[node]
            b = self.net["branches"][i]
            dp = branch_dp(b, q[i], self.net["air"], mp)
            p[node] = p[parent] - dp if b["head"] == node else p[parent] + dp
        return [p[k] for k in range(len(self.net["nodes"]))]

    def gradient(self, z):
        """Gap between the pressure that a seam or chord needs and the one that is there."""
        net = self.net
        leaks, q, _ = self.flows(z)
        p = self.pressures(q)
        gaps = [mp.mpf(s["zone_pa"]) + seam_dp(s, v) - p[s["node"]] for s, v in zip(net["seams"], leaks)]
        for i in self.chords:
            b = net["branches"][i]
            gaps.append(branch_dp(b, q[i], net["air"], mp) - p[b["tail"]] + p[b["head"]])
        return mp.matrix(gaps)


def dot(a, b):
    return sum((x * y for x, y in zip(a, b)), mp.mpf(0))


def bfgs(dual, z):
    """BFGS; a line search by secants on the slope, which rises along any line of a convex function."""
    g = dual.gradient(z)
    h = mp.diag([mp.mpf("1e-4")] * dual.size)
    for turn in range(600):
        if max(abs(v) for v in g) < mp.mpf(10) ** -24:
            return z, g, turn
        step = -(h * g)
        down = dot(step, g)
        if down >= 0:
            h, step = mp.diag([mp.mpf("1e-4")] * dual.size), -g * mp.mpf("1e-4")
            down = dot(step, g)
        low, high, part = mp.mpf(0), None, mp.mpf(1)
        for _ in range(60):
            new = dual.gradient(z + part * step)
            slope = dot(step, new)
            if abs(slope) <= abs(down) / 10:
                break
            if slope < 0:
                low = part
                part = 2 * part if high is None else (low + high) / 2
            else:
                high = part
                part = max(part * down / (down - slope), low + (high - low) / 10)
                part = min(part, high - (high - low) / 10)
        s, y = part * step, new - g
        z, g = z + s, new
        sy = dot(s, y)
        hy = h * y
        h = h + (sy + dot(y, hy)) / sy**2 * (s * s.T) - (hy * s.T + s * hy.T) / sy
    raise RuntimeError(f"{dual.net['name']}: BFGS did not settle")


def small(name):
    net = json.loads((HERE.parent / "networks" / f"{name}.json").read_text())
    root_finder = net.pop("answer")
    dual = Dual(net)
    start = []
    for s in net["seams"]:                      # the flow that the held pressure would drive
        start.append(seam_flow({"q25": mp.mpf(s["q25_m3_s"]), "n_": mp.mpf(s["n"]), "zone": mp.mpf(s["zone_pa"])},
                               mp.mpf(net["fan"]["tap_pa"]), mp))
    z, g, turns = bfgs(dual, mp.matrix(start + [mp.mpf("0.001")] * len(dual.chords)))
    # The gradient belongs to the function: central differences of the integrals, where the start was.
    at, e = mp.matrix(start + [mp.mpf("0.001")] * len(dual.chords)), mp.mpf("1e-12")
    for k in range(dual.size):
        up, down = at.copy(), at.copy()
        up[k] += e
        down[k] -= e
        gap = (dual.value(up) - dual.value(down)) / (2 * e) - dual.gradient(at)[k]
        assert abs(gap) < mp.mpf("1e-12"), f"{name}: gradient off by {mp.nstr(gap, 3)} Pa"
    least = dual.value(z)
    for k in range(dual.size):                  # and it is a least value
        for by in (mp.mpf("1e-6"), -mp.mpf("1e-6")):
            near = z.copy()
            near[k] += by
            assert dual.value(near) > least
    leaks, q, fan = dual.flows(z)
    p = dual.pressures(q)
    assert all(abs(seam_dp(s, v)) > SWITCH for s, v in zip(net["seams"], leaks)), f"{name}: a seam in the cubic range"
    reached = float(max(abs(v) for v in g))
    # The cubic near zero takes a constant off the content; differences lie beyond it, so nothing else changes.
    delta, off = mp.mpf(str(SWITCH)), mp.mpf(0)
    for s in net["seams"]:
        n = mp.mpf(s["n"])
        off += mp.mpf(s["q25_m3_s"]) / 25**n * delta ** (n + 1) * (1 / (n + 1) - (3 - n) / 4 - (n - 1) / 8)
    apart = max(abs(float(a) - b) for a, b in zip(p, root_finder["node_pressure_pa"])) / 25
    assert apart < 1e-14, f"{name}: root-finder and optimiser disagree"
    print(f"{name:22s} {dual.size} unknowns, {turns} steps, gap {reached:.1e} Pa, content {mp.nstr(-least, 12)} W, apart from the root-finder by {apart:.0e}")
    net["answer"] = {"node_pressure_pa": [float(v) for v in p], "branch_flow_m3_s": [float(v) for v in q],
                     "seam_flow_m3_s": [float(v) for v in leaks], "fan_flow_m3_s": float(fan), "content_w": float(-least - off),
                     "tolerance_rel": 1e-15}
    return net


# ---------------------------------------------------------------- large: content over pressures, long double
LD = np.longdouble
SEAM_N = (0.5, 0.55, 0.6, 0.65, 0.75, 1.0)
BRANCH_M = (2.0, 1.8, 1.6, 1.25, 1.0)           # 1/m is the exponent of flow


def invent(nodes, extra, seed):
    """A tree with short cuts; every branch loses some 60 Pa/nodes at the flow that leaks beyond it."""
    rng = np.random.default_rng(seed)
    parent = [0] + [int(rng.integers(max(0, k - 12), k)) for k in range(1, nodes)]
    pairs = [(parent[k], k) for k in range(1, nodes)]
    while len(pairs) < nodes - 1 + extra:
        a = int(rng.integers(0, nodes - 15))
        b = int(a + rng.integers(6, 15))
        if (a, b) not in pairs:
            pairs.append((a, b))
    places = list(range(nodes)) + sorted(int(v) for v in rng.choice(nodes, nodes // 5, replace=False))
    seams = [{"node": k, "zone_pa": float(rng.choice([0.0, 0.0, -2.0, 3.5])), "q25_m3_s": round(float(rng.uniform(2e-4, 1.4e-3)), 7),
              "n": float(rng.choice(SEAM_N))} for k in places]
    beyond = np.zeros(nodes)
    for s in seams:
        beyond[s["node"]] += 0.4 * s["q25_m3_s"]
    for k in range(nodes - 1, 0, -1):
        beyond[parent[k]] += beyond[k]
    branches = []
    for i, (a, b) in enumerate(pairs):
        carried = beyond[b] if i < nodes - 1 else 0.3 * min(beyond[a], beyond[b])
        branches.append({"kind": "component", "tail": a, "head": b, "dp_pa": round(float(rng.uniform(25.0, 100.0) / nodes), 3),
                         "q_m3_s": round(float(carried * rng.uniform(0.8, 1.3)), 7), "m": float(rng.choice(BRANCH_M))})
    return {"name": f"random_{nodes}", "about": f"{nodes} nodes, {extra} loops, power laws of exponents 0.5 to 1, seed {seed}",
            "air": {"rho": 1.204, "mu": 1.458e-6 * 293.15**1.5 / (293.15 + 110.4)}, "nodes": [f"node {k}" for k in range(nodes)],
            "held": [], "branches": branches, "seams": seams, "fan": {"node": 0, "tap": 0, "tap_pa": 25.0}}


class Content:
    def __init__(self, net):
        self.net, self.nodes = net, len(net["nodes"])
        b, s = net["branches"], net["seams"]
        self.tail, self.head = np.array([x["tail"] for x in b]), np.array([x["head"] for x in b])
        self.bn = LD(1) / np.array([x["m"] for x in b], dtype=LD)
        self.bc = np.array([x["q_m3_s"] for x in b], dtype=LD) / np.array([x["dp_pa"] for x in b], dtype=LD) ** self.bn
        self.node = np.array([x["node"] for x in s])
        self.sn = np.array([x["n"] for x in s], dtype=LD)
        self.sc = np.array([x["q25_m3_s"] for x in s], dtype=LD) / LD(25) ** self.sn
        self.zone = np.array([x["zone_pa"] for x in s], dtype=LD)
        self.hold = LD(net["fan"]["tap_pa"])

    @staticmethod
    def law(c, n, d):
        """Flow and content, with the cubic near zero."""
        delta, size = LD("0.01"), np.abs(d)
        far = np.maximum(size, delta)
        x = np.minimum(size, delta) / delta
        inside = c * delta**n * ((3 - n) / 2 * x + (n - 1) / 2 * x**3)
        flow = np.where(size < delta, inside, c * far**n)
        work = c * delta ** (n + 1) * ((3 - n) / 4 * x**2 + (n - 1) / 8 * x**4) + c / (n + 1) * (far ** (n + 1) - delta ** (n + 1))
        return np.copysign(flow, d), work

    def flows(self, u):
        p = np.concatenate([[self.hold], u])
        return self.law(self.bc, self.bn, p[self.tail] - p[self.head]), self.law(self.sc, self.sn, p[self.node] - self.zone)

    def value_and_gradient(self, u):
        (q, work), (leak, leak_work) = self.flows(u)
        out = np.zeros(self.nodes, dtype=LD)
        np.add.at(out, self.tail, q)
        np.subtract.at(out, self.head, q)
        np.add.at(out, self.node, leak)
        return np.sum(work) + np.sum(leak_work), out[1:]


def lbfgs(content, u, target, memory=60):
    """Limited-memory BFGS with the line search by secants on the slope."""
    value, g = content.value_and_gradient(u)
    largest = np.max(np.abs(content.flows(u)[1][0]))
    kept, best, since = [], (np.max(np.abs(g)), u), 0
    for turn in range(60000):
        worst = np.max(np.abs(g))
        if worst < best[0]:
            best, since = (worst, u.copy()), turn
        if worst <= target * largest or turn > since + 400:      # the latter where rounding is reached
            break
        d, parts = g.copy(), []
        for s, y, rho in reversed(kept):
            a = rho * np.dot(s, d)
            parts.append(a)
            d -= a * y
        if kept:
            s, y, _ = kept[-1]
            d *= np.dot(s, y) / np.dot(y, y)
        else:
            d *= LD(1) / np.max(np.abs(g))
        for (s, y, rho), a in zip(kept, reversed(parts)):
            d += (a - rho * np.dot(y, d)) * s
        step, down = -d, -np.dot(d, g)
        if not down < 0:
            kept = []
            if worst <= LD("1e-15") * largest:
                break
            continue
        low, high, part = LD(0), None, LD(1)
        for _ in range(50):
            new_value, new = content.value_and_gradient(u + part * step)
            slope = np.dot(step, new)
            if abs(slope) <= abs(down) * LD("0.5"):
                break
            if slope < 0:
                low = part
                part = 2 * part if high is None else (low + high) / 2
            else:
                high = part
                part = min(max(part * down / (down - slope), low + (high - low) / 10), high - (high - low) / 10)
        assert new_value <= value * (1 + LD("1e-15")) + LD("1e-18"), "content rose"
        s, y = part * step, new - g
        u, g, value = u + s, new, new_value
        sy = np.dot(s, y)
        if sy > 0:
            kept = (kept + [(s, y, 1 / sy)])[-memory:]
    return best[1], best[0], turn


def conic(net):
    """The dual content by a conic interior-point solver; each flow as a multiple of its element's own reference flow."""
    b, s, unit = net["branches"], net["seams"], 1e-3
    q_ref, leak_ref = np.array([x["q_m3_s"] for x in b]), np.array([x["q25_m3_s"] for x in s])
    q, leak, fan = cp.Variable(len(b)), cp.Variable(len(s)), cp.Variable()
    terms = []
    for m in sorted({x["m"] for x in b}):
        at = [i for i, x in enumerate(b) if x["m"] == m]
        scale = np.array([b[i]["dp_pa"] * b[i]["q_m3_s"] / unit / (m + 1) for i in at])
        terms.append(scale @ cp.power(cp.abs(q[at]), m + 1, approx=False))
    for n in sorted({x["n"] for x in s}):
        at, m = [i for i, x in enumerate(s) if x["n"] == n], 1 / n
        scale = np.array([25.0 * s[i]["q25_m3_s"] / unit / (m + 1) for i in at])
        terms.append(scale @ cp.power(cp.abs(leak[at]), m + 1, approx=False))
    terms.append((np.array([x["zone_pa"] for x in s]) * leak_ref / unit) @ leak)
    inflow = np.zeros((len(net["nodes"]), len(b)))
    for i, x in enumerate(b):
        inflow[x["tail"], i] -= q_ref[i] / unit
        inflow[x["head"], i] += q_ref[i] / unit
    out = np.zeros((len(net["nodes"]), len(s)))
    for i, x in enumerate(s):
        out[x["node"], i] = leak_ref[i] / unit
    feed = np.zeros(len(net["nodes"]))
    feed[0] = 1
    continuity = inflow @ q + feed * fan == out @ leak
    problem = cp.Problem(cp.Minimize(sum(terms) - net["fan"]["tap_pa"] * fan), [continuity])
    problem.solve(solver=cp.CLARABEL, tol_gap_abs=1e-10, tol_gap_rel=1e-10, tol_feas=1e-10, max_iter=400)
    p = continuity.dual_value
    p = p if p[0] > 0 else -p
    return p, q.value * q_ref, leak.value * leak_ref, -problem.value * unit, problem.status


def large(nodes, extra, seed):
    net = invent(nodes, extra, seed)
    content = Content(net)
    # No start near the answer: everything at the held pressure, slightly falling to have no two equal pressures.
    u = LD(25) - LD("0.05") * np.arange(1, nodes, dtype=LD)
    u, _, first_turns = lbfgs(content, u, LD("1e-7"))
    p = np.concatenate([[content.hold], u])
    nearest = min(float(np.min(np.abs(p[content.tail] - p[content.head]))), float(np.min(np.abs(p[content.node] - content.zone))))
    if nearest < 1.5 * SWITCH:
        return None, nearest
    u, worst, turns = lbfgs(content, u, LD("1e-17"))
    turns += first_turns
    other, _, _ = lbfgs(content, np.full(nodes - 1, LD(5)) + LD("0.03") * np.arange(nodes - 1, dtype=LD), LD("1e-17"))
    starts = float(np.max(np.abs(other - u))) / 25
    (q, work), (leak, leak_work) = content.flows(u)
    p = np.concatenate([[content.hold], u])
    total = float(np.sum(leak))
    pc, qc, leak_c, value_c, status = conic(net)
    value = float(np.sum(work) + np.sum(leak_work))
    # The conic form has the power law down to zero; the cubic near zero takes a constant off the content.
    law = [(content.bc, content.bn, p[content.tail] - p[content.head]), (content.sc, content.sn, p[content.node] - content.zone)]
    power = float(sum(np.sum(c / (n + 1) * np.abs(d) ** (n + 1)) for c, n, d in law))
    apart = [float(np.max(np.abs(p - pc))) / 25, float(np.max(np.abs(q - qc)) / np.max(np.abs(q))), float(np.max(np.abs(leak - leak_c)) / np.max(np.abs(leak)))]
    print(f"{net['name']:22s} L-BFGS {turns} steps, imbalance {float(worst):.1e} m3/s of {total:.3f}; conic solver ({status}) apart by {apart[0]:.1e} of pressure, "
          f"{apart[1]:.1e} of branch flow, {apart[2]:.1e} of seam flow, content {power:.12g} against {value_c:.12g} W; two starts apart by {starts:.1e}; "
          f"least difference {nearest:.3f} Pa")
    assert status == "optimal" and max(apart) < 1e-6, f"{net['name']}: the two optimisers disagree"
    assert abs(power / value_c - 1) < 1e-9, f"{net['name']}: the contents disagree"
    assert starts < 1e-12, f"{net['name']}: two starts disagree"
    net["answer"] = {"node_pressure_pa": [float(v) for v in p], "branch_flow_m3_s": [float(v) for v in q], "seam_flow_m3_s": [float(v) for v in leak],
                     "fan_flow_m3_s": total, "content_w": value, "imbalance_m3_s": float(worst), "conic_apart_rel": max(apart),
                     "tolerance_rel": max(starts, 1e-15)}
    return net, nearest


def write(net):
    text = json.dumps(net, indent=1)
    for _ in range(2):
        text = regex.sub(r"\{[^{}\[\]]*\}|\[[^{}\[\]]*\]", lambda t: regex.sub(r"\s*\n\s*", " ", t.group(0)), text)
    (HERE / (net["name"] + ".json")).write_text(text + "\n")


def first_clear(nodes, extra):
    """First seed whose answer keeps clear of the cubic range, which the conic form does not have."""
    for seed in range(1, 200):
        net, nearest = large(nodes, extra, seed)
        if net:
            return net
        print(f"random_{nodes} seed {seed} passed over: a difference of {nearest:.4f} Pa")
    raise RuntimeError("no seed keeps clear")


if __name__ == "__main__":
    wanted = set(sys.argv[1:])
    for name in SMALL:
        if not wanted or name in wanted:
            write(small(name))
    for nodes, extra in ((50, 6), (200, 20)):
        if not wanted or f"random_{nodes}" in wanted:
            write(first_clear(nodes, extra))
