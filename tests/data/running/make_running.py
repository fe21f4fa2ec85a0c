#!/usr/bin/env python3
"""Solve small running duct systems with 50-digit arithmetic and write one JSON file per case.

The equations stand in README.md, the laws in laws.py, the cases in cases.py. Method: unknowns are the flow of every
branch, the total pressure of every node and the test fan's flow; Newton's method on all equations at once, with every
coupling in them (velocity pressure at leaks and tap, losses by flow ratio), slopes by central differences. Checks of each
answer: a second method in double precision that freezes the couplings and takes them again until they stand still, with
node pressures alone as unknowns; a second 50-digit solve from a start far off; one derivative by whole solves.

Needs: mpmath, numpy, scipy.   Run: python make_running.py [case ...]   (writes the JSON files beside this script)
"""
import json
import math
import pathlib
import re as regex
import sys

import mpmath as mp
import numpy as np
from scipy import interpolate, optimize

from cases import cases
from laws import (RHO0, active_flow, blower_volume, junction_drops, leak_flow, number, passive_drop, speed,
                  velocity_pressure)

HERE = pathlib.Path(__file__).resolve().parent
ACTIVE = ("blower", "path")


class Seams:
    """Laws that the sensitivities disturb: flow at 25 Pa and exponent of each seam."""

    def __init__(self, net, m):
        num = number(m)
        self.q25 = [num(s["q25_m3_s"]) for s in net["seams"]]
        self.n = [num(s["n"]) for s in net["seams"]]

    def flow(self, k, d, air, m):
        return leak_flow(self.q25[k], number(m)(25), self.n[k], d, air, m)


def stream_pressure(where, q, net, m):
    """Velocity pressure that a leak or a tap does not feel; 0 where none is named."""
    if not where:
        return number(m)(0)
    return velocity_pressure(speed(q[where["branch"]], where, net["air"], m), net["air"], m)


def held_nodes(net):
    return {h["node"]: h["pa"] for h in net["held"]}


def seam_dp(s, p, q, net, m):
    zone = p[s["zone_node"]] if "zone_node" in s else number(m)(s["zone_pa"])
    return p[s["node"]] - stream_pressure(s.get("velocity"), q, net, m) - zone


# ---------------------------------------------------------------- all equations at once
def split(net, x):
    nb, nn = len(net["branches"]), len(net["nodes"])
    return list(x[:nb]), list(x[nb:nb + nn]), (x[nb + nn] if net["fan"] else None)


def residual(net, x, seams, m):
    q, p, fan_flow = split(net, x)
    num, air, held = number(m), net["air"], held_nodes(net)
    extra = junction_drops(net, q, m)
    rows, balance = [], [num(0)] * len(p)
    for i, b in enumerate(net["branches"]):
        d = p[b["tail"]] - p[b["head"]]
        if b["kind"] in ACTIVE:
            rows.append(q[i] - active_flow(b, d, air, m))
        else:
            rows.append(d - passive_drop(b, q[i], air, m) - extra[i])
        balance[b["tail"]] -= q[i]
        balance[b["head"]] += q[i]
    for k, s in enumerate(net["seams"]):
        flow = seams.flow(k, seam_dp(s, p, q, net, m), air, m)
        balance[s["node"]] -= flow
        if "zone_node" in s:
            balance[s["zone_node"]] += flow
    if net["fan"]:
        balance[net["fan"]["node"]] += fan_flow
    for k in range(len(p)):
        rows.append(p[k] - num(held[k]) if k in held else balance[k])
    if net["fan"]:
        tap = net["fan"]["tap"]
        rows.append(p[tap] - stream_pressure(net["fan"].get("tap_velocity"), q, net, m) - num(net["fan"]["tap_pa"]))
    return rows


def jacobian(net, x, seams):
    nb, size = len(net["branches"]), len(x)
    j = mp.matrix(size, size)
    for c in range(size):
        h = mp.mpf(10) ** -22 * (max(abs(x[c]), mp.mpf("1e-5")) if c < nb or c == nb + len(net["nodes"]) else 1)
        up, down = list(x), list(x)
        up[c] += h
        down[c] -= h
        for r, (a, b) in enumerate(zip(residual(net, up, seams, mp), residual(net, down, seams, mp))):
            if a != b:
                j[r, c] = (a - b) / (2 * h)
    return j


def newton(net, seams, start):
    """Newton with halved steps. Returns the vector, its Jacobian and the worst residual."""
    x = [mp.mpf(v) for v in start]
    r = residual(net, x, seams, mp)
    for _ in range(80):
        size = max(abs(v) for v in r)
        if size < mp.mpf(10) ** -42:
            return x, size
        step = mp.lu_solve(jacobian(net, x, seams), -mp.matrix(r))
        part = mp.mpf(1)
        while True:
            trial = [a + part * b for a, b in zip(x, step)]
            new = residual(net, trial, seams, mp)
            # Only far from the answer is a shorter step worth it; scaled to flows by 1e-3 m3/s per Pa.
            if size < mp.mpf("1e-6") or norm(net, new) < norm(net, r) or part < mp.mpf("1e-3"):
                break
            part /= 2
        x, r = trial, new
    raise RuntimeError(f"{net['name']}: 50-digit Newton did not settle, residual {mp.nstr(size, 5)}")


def norm(net, r):
    passive = [b["kind"] not in ACTIVE for b in net["branches"]]
    return sum(abs(v) * (1e-3 if i < len(passive) and passive[i] else 1) for i, v in enumerate(r))


# ---------------------------------------------------------------- double precision, nodal, couplings frozen
def inverse(b, d, air, q):
    """Flow of a duct or component at a pressure difference, from a guess."""
    if d == 0.0:
        return 0.0
    q = abs(q) or 1e-3
    for _ in range(200):
        h = 1e-6 * q
        f = passive_drop(b, q, air, math) - abs(d)
        slope = (passive_drop(b, q + h, air, math) - passive_drop(b, q - h, air, math)) / (2 * h)
        new = q - f / slope
        new = new if new > 0 else q / 4
        if abs(new - q) <= 1e-14 * q:
            q = new
            break
        q = new
    return math.copysign(q, d)


def frozen(net):
    """Node pressures and branch flows by taking the couplings again and again, half a step each time."""
    held, air, branches, fan = held_nodes(net), net["air"], net["branches"], net["fan"]
    nodes, seams = len(net["nodes"]), Seams(net, math)
    free = [k for k in range(nodes) if k not in held]
    leg = [junctionless for junctionless in range(len(branches))]
    q = [0.0] * len(branches)
    extra = [0.0 for _ in leg]
    pv = [0.0] * len(net["seams"])
    tap_pv = 0.0
    u = np.array(net["start"][:len(free)] + ([0.1] if fan else []))
    warm = [0.05] * len(branches)

    def flows(p):
        out = []
        for i, b in enumerate(branches):
            d = p[b["tail"]] - p[b["head"]]
            if b["kind"] in ACTIVE:
                out.append(active_flow(b, d, air, math))
            else:
                warm[i] = inverse(b, d - extra[i], air, warm[i])
                out.append(warm[i])
        return out

    def pressures(u):
        p = [0.0] * nodes
        for k, v in held.items():
            p[k] = v
        for i, k in enumerate(free):
            p[k] = float(u[i])
        return p

    def balance(u):
        p = pressures(u)
        out = np.zeros(nodes)
        for b, v in zip(branches, flows(p)):
            out[b["tail"]] -= v
            out[b["head"]] += v
        for k, s in enumerate(net["seams"]):
            zone = p[s["zone_node"]] if "zone_node" in s else s["zone_pa"]
            v = seams.flow(k, p[s["node"]] - pv[k] - zone, air, math)
            out[s["node"]] -= v
            if "zone_node" in s:
                out[s["zone_node"]] += v
        rows = [out[k] for k in free]
        if fan:
            rows[free.index(fan["node"])] += u[-1]
            rows.append((p[fan["tap"]] - tap_pv - fan["tap_pa"]) * 1e-3)
        return np.array(rows)

    moved, part = 1.0, 0.5
    for turn in range(400):
        u = solve_frozen(balance, u, net["name"])
        p = pressures(u)
        q = flows(p)
        new_extra = junction_drops(net, q, math)
        new_pv = [stream_pressure(s.get("velocity"), q, net, math) for s in net["seams"]]
        new_tap = stream_pressure(fan.get("tap_velocity"), q, net, math) if fan else 0.0
        gaps = [a - b for a, b in zip(new_extra + new_pv + [new_tap], extra + pv + [tap_pv])]
        moved = max(abs(v) for v in gaps)
        if moved < 1e-11:
            break
        extra = [a + part * (b - a) for a, b in zip(extra, new_extra)]
        pv = [a + part * (b - a) for a, b in zip(pv, new_pv)]
        tap_pv += part * (new_tap - tap_pv)
    return p, q, (float(u[-1]) if fan else None), moved, turn + 1


def solve_frozen(balance, u, name):
    """Damped Newton with differences for slopes, double precision."""
    for _ in range(300):
        f = balance(u)
        size = np.max(np.abs(f))
        if size < 1e-15:
            break
        j = np.empty((len(f), len(u)))
        for c in range(len(u)):
            h = 1e-6 * max(abs(u[c]), 1e-3)
            up, down = u.copy(), u.copy()
            up[c] += h
            down[c] -= h
            j[:, c] = (balance(up) - balance(down)) / (2 * h)
        step = np.linalg.solve(j, -f)
        part = 1.0
        while part > 1e-4 and np.sum(np.abs(balance(u + part * step))) > (1 - 1e-4 * part) * np.sum(np.abs(f)):
            part *= 0.5
        if part <= 1e-4:
            if size > 1e-10:
                raise RuntimeError(f"{name}: frozen solve is stuck at {size:.1e} m3/s")
            break
        u = u + part * step
    return u


# ---------------------------------------------------------------- answer of one case
def fixed_leaks(net):
    """Seams to a pressure that is given."""
    held = held_nodes(net)
    return [k for k, s in enumerate(net["seams"]) if s.get("zone_node") is None or s["zone_node"] in held]


def seam_flows(net, x, seams):
    q, p, _ = split(net, x)
    return [seams.flow(k, seam_dp(s, p, q, net, mp), net["air"], mp) for k, s in enumerate(net["seams"])]


def goals(net, x, seams):
    """Blower flow (or that of the test fan), leakage to given pressures, each seam's flow."""
    q, _, fan_flow = split(net, x)
    blower = [i for i, b in enumerate(net["branches"]) if b["kind"] == "blower"]
    flow = q[blower[0]] if blower else (fan_flow if net["fan"] else mp.mpf(0))
    leaks = seam_flows(net, x, seams)
    return [flow, sum((leaks[k] for k in fixed_leaks(net)), mp.mpf(0))] + leaks


def disturbed(net, kind, k, by):
    seams = Seams(net, mp)
    if kind == "ln_q25":
        seams.q25[k] *= mp.exp(by)
    else:
        seams.n[k] += by
    return seams


def sensitivities(net, x):
    """d(goals)/d(ln q25) and d(goals)/dn of every seam by the implicit function theorem."""
    j = jacobian(net, x, Seams(net, mp))
    e = mp.mpf(10) ** -20
    found = {}
    for kind in ("ln_q25", "n"):
        rows = []
        for k in range(len(net["seams"])):
            up, down = disturbed(net, kind, k, e), disturbed(net, kind, k, -e)
            push = [(a - b) / (2 * e) for a, b in zip(residual(net, x, up, mp), residual(net, x, down, mp))]
            dx = mp.lu_solve(j, -mp.matrix(push))
            ahead = goals(net, [a + e * b for a, b in zip(x, dx)], up)
            back = goals(net, [a - e * b for a, b in zip(x, dx)], down)
            rows.append([(a - b) / (2 * e) for a, b in zip(ahead, back)])
        found[kind] = rows
    # One of them by whole solves.
    k, h = len(net["seams"]) // 2, mp.mpf("1e-10")
    ends = [goals(net, newton(net, s, x)[0], s) for s in (disturbed(net, "ln_q25", k, h), disturbed(net, "ln_q25", k, -h))]
    whole = [(a - b) / (2 * h) for a, b in zip(*ends)]
    scale = max(abs(v) for v in whole)
    gap = max(abs(a - b) for a, b in zip(whole, found["ln_q25"][k])) / scale
    assert gap < mp.mpf("1e-18"), f"{net['name']}: derivative off by {mp.nstr(gap, 3)}"
    return found, gap


def strongest_feedback(net, q, p):
    """Largest 2 n pv/|ps| of the seams, ps against the surroundings."""
    most = 0.0
    for s in net["seams"]:
        pv = stream_pressure(s.get("velocity"), q, net, math)
        most = max(most, 2 * s["n"] * pv / abs(seam_dp(s, p, q, net, math)))
    return most


def check_blower(net):
    """The cubic against a general library, inside the points."""
    for b in net["branches"]:
        if b["kind"] == "blower":
            x, y = zip(*b["points"])
            library = interpolate.PchipInterpolator(x, y)
            for rise in np.linspace(x[0], x[-1], 37):
                ours = blower_volume(b["points"], float(rise), math) + 1e-6 * y[0] / x[-1] * (rise - x[0])
                assert abs(ours - library(rise)) < 1e-14, f"{net['name']}: blower curve"


def solve(net):
    check_blower(net)
    p, q, fan_flow, moved, turns = frozen(net)
    assert moved < 1e-9, f"{net['name']}: couplings still move by {moved:.1e} Pa"
    seams = Seams(net, mp)
    x, worst = newton(net, seams, q + p + ([fan_flow] if net["fan"] else []))
    far = [v * mp.mpf("0.85") for v in q] + [v * mp.mpf("1.1") + mp.mpf("0.01") for v in p]
    again, _ = newton(net, seams, far + ([mp.mpf(fan_flow) / 2] if net["fan"] else []))
    apart = max(abs(a - b) for a, b in zip(x, again))
    assert apart < mp.mpf(10) ** -35, f"{net['name']}: two starts differ by {mp.nstr(apart, 3)}"
    q50, p50, fan50 = split(net, x)
    gap_p = max(abs(float(a) - b) for a, b in zip(p50, p)) / max(abs(v) for v in p)
    gap_q = max(abs(float(a) - b) for a, b in zip(q50, q)) / max(abs(v) for v in q)
    assert max(gap_p, gap_q) < 1e-8, f"{net['name']}: second method differs by {gap_p:.1e}, {gap_q:.1e}"
    for j in net.get("junctions", []):
        sign = 1 if j["side"] == "supply" else -1
        legs = [j["common"], j["branch"]] + ([] if j["straight"] is None else [j["straight"]])
        assert all(sign * q50[k] > 0 for k in legs), f"{net['name']}: a junction runs backward"
    if not (net["fan"] or any(b["kind"] == "blower" for b in net["branches"]) or len(net["held"]) > 1):
        raise RuntimeError(f"{net['name']}: nothing drives the air")
    for b in net["branches"]:
        if b["kind"] == "component":
            assert abs(p50[b["tail"]] - p50[b["head"]]) > 0.02, f"{net['name']}: a component in the cubic range"
    d, d_gap = sensitivities(net, x)
    found = goals(net, x, seams)
    dp = [seam_dp(s, p50, q50, net, mp) for s in net["seams"]]
    sums = [len(net["branches"]) + k for k in range(len(net["nodes"]))]
    off = residual(net, x, seams, mp)
    feedback = strongest_feedback(net, q, p)
    blower = any(b["kind"] == "blower" for b in net["branches"])
    answer = {
        "node_pressure_pa": [float(v) for v in p50],
        "branch_flow_m3_s": [float(v) for v in q50],
        "seam_flow_m3_s": [float(v) for v in found[2:]],
        "seam_dp_pa": [float(v) for v in dp],
        "fan_flow_m3_s": float(fan50) if net["fan"] else None,
        "leak_to_fixed_m3_s": float(found[1]),
        "worst_imbalance_m3_s": float(max(abs(off[r]) for r in sums)),
    }
    for kind, rows in d.items():
        if blower or net["fan"]:
            answer[f"d_{'blower' if blower else 'fan'}_flow_d_{kind}"] = [float(r[0]) for r in rows]
        answer[f"d_leak_to_fixed_d_{kind}"] = [float(r[1]) for r in rows]
        answer[f"d_seam_flow_d_{kind}"] = [[float(v) for v in r[2:]] for r in rows]
    print(f"{net['name']:24s} residual {mp.nstr(worst, 2):>8s}  second method {gap_p:.0e} {gap_q:.0e} in {turns} turns  starts {mp.nstr(apart, 1):>7s}"
          f"  derivative {mp.nstr(d_gap, 1):>7s}  2n pv/ps up to {feedback:.2f}")
    return answer


def write(net):
    net = {k: v for k, v in net.items() if k != "start"}
    text = json.dumps(net, indent=1)
    # One line for each innermost list or mapping keeps the files readable.
    for _ in range(2):
        text = regex.sub(r"\{[^{}\[\]]*\}|\[[^{}\[\]]*\]", lambda t: regex.sub(r"\s*\n\s*", " ", t.group(0)), text)
    (HERE / (net["name"] + ".json")).write_text(text + "\n")


if __name__ == "__main__":
    wanted = set(sys.argv[1:])
    for net in cases():
        if not wanted or net["name"] in wanted:
            net["answer"] = solve(net)
            write(net)
