#!/usr/bin/env python3
"""The peer: Newton on node pressures with a general sparse factorisation, vectorised.

Usage: sparse_newton.py FILE ANSWER [REPEATS]

The balance of every node but the held one is solved by Newton's method; the matrix is a sparse symmetric one with fixed
pattern, factored by a sparse LU told so (minimum degree on A+A', diagonal pivots). Each law gives flow and slope from the
pressure difference for all ducts or seams at once. A step is cut back while the content function, whose slope along the
step is known, would be passed too far.
"""
import sys
import time

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from make_network import read

SWITCH = 0.01                       # Pa
RE_LAMINAR, RE_TURBULENT = 2000.0, 4000.0
LN10 = np.log(10.0)
IMBALANCE = 1e-10


def memory_mb():
    with open("/proc/self/status") as file:
        for line in file:
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1000.0
    return float("nan")


def colebrook(re, relative):
    """Friction factor, Newton on 1/sqrt f from the Haaland value."""
    x = -1.8 * np.log10((relative / 3.7) ** 1.11 + 6.9 / re)
    for _ in range(5):
        a = relative / 3.7 + 2.51 * x / re
        x -= (x + 2.0 * np.log10(a)) / (1.0 + 5.02 / (re * a * LN10))
    return 1.0 / (x * x)


class Ducts:
    """Darcy-Weisbach with local losses, all ducts at once."""

    def __init__(self, net):
        rho, d = net["rho"], net["diameter"]
        nu = net["mu"] / rho
        length = net["factor"] * net["length"]
        relative = net["roughness"] / d
        self.area = net["area"]
        self.linear = 32.0 * net["mu"] * length / (d * d)
        self.local = 0.5 * net["loss"] * rho
        self.k = 0.5 * rho * length / d
        self.rough = relative / 3.7
        self.viscous = 2.51 * nu / d
        self.unit = nu / d
        f4 = colebrook(np.full_like(d, RE_TURBULENT), relative)
        t = 5.02 / (RE_TURBULENT * (self.rough + 2.51 / (RE_TURBULENT * np.sqrt(f4))) * LN10)
        # Cubic in ln f over ln Re between laminar and turbulent flow.
        self.width = np.log(RE_TURBULENT / RE_LAMINAR)
        y0, m0 = np.log(64.0 / RE_LAMINAR), -self.width
        y1, m1 = np.log(f4), -2.0 * t / (1.0 + t) * self.width
        self.cubic = (y0, m0, 3.0 * (y1 - y0) - 2.0 * m0 - m1, m0 + m1 - 2.0 * (y1 - y0))
        v2, v4 = RE_LAMINAR * self.unit, RE_TURBULENT * self.unit
        self.dp_laminar = v2 * (self.linear + self.local * v2)
        self.dp_turbulent = (self.k * f4 + self.local) * v4 * v4
        self.s_turbulent = v4 * np.sqrt(f4)
        self.forget()

    def forget(self):
        self.last_dp = np.zeros_like(self.area)
        self.last_s = np.zeros_like(self.area)

    def drop(self, flow):
        """Pressure difference at a flow."""
        v = np.abs(flow) / self.area
        re = np.maximum(v / self.unit, 1e-300)
        f = colebrook(np.maximum(re, RE_TURBULENT), self.rough * 3.7)
        between = np.clip(np.log(re / RE_LAMINAR) / self.width, 0.0, 1.0)
        y0, m0, c2, c3 = self.cubic
        f = np.where(re < RE_TURBULENT, np.exp(y0 + between * (m0 + between * (c2 + between * c3))), f)
        turbulent = (self.k * f + self.local) * v * v
        return np.copysign(np.where(re <= RE_LAMINAR, v * (self.linear + self.local * v), turbulent), flow)

    def flow_and_slope(self, dp):
        size = np.abs(dp)
        root = np.sqrt(self.linear * self.linear + 4.0 * self.local * size)
        v, dv = 2.0 * size / (self.linear + root), 1.0 / root
        fast = np.flatnonzero(size >= self.dp_turbulent)
        if len(fast):
            v[fast], dv[fast] = self.turbulent(size[fast], fast)
        mid = np.flatnonzero((size > self.dp_laminar) & (size < self.dp_turbulent))
        if len(mid):
            v[mid], dv[mid] = self.between(size[mid], mid)
        return np.copysign(self.area * v, dp), self.area * dv

    def turbulent(self, dp, at):
        """With s = V sqrt f friction is k s^2 and V = -2 s log10(rough + viscous/s): Newton in s."""
        k, local, rough, viscous = self.k[at], self.local[at], self.rough[at], self.viscous[at]
        last_dp, last_s = self.last_dp[at], self.last_s[at]
        ratio = 8.0
        guess = np.sqrt(dp / (k + local * ratio * ratio))
        near = (last_dp > 0.5 * dp) & (last_dp < 2.0 * dp)
        s = np.where(near, last_s * np.sqrt(dp / np.where(near, last_dp, 1.0)), guess)
        s = np.maximum(s, self.s_turbulent[at])
        for _ in range(30):
            thin = viscous / s
            a = rough + thin
            ratio = -2.0 / LN10 * np.log(a)
            v = s * ratio
            dv_ds = ratio + 2.0 / LN10 * thin / a
            dp_ds = 2.0 * (k * s + local * v * dv_ds)
            step = (dp - k * s * s - local * v * v) / dp_ds
            s = s + step
            # Quadratic convergence: the step after this one would be below rounding.
            if np.max(np.abs(step) / s) <= 1e-8:
                break
        v = v + step * dv_ds
        self.last_dp[at], self.last_s[at] = dp, s
        return v, dv_ds / dp_ds

    def between(self, dp, at):
        """Newton on ln dp in t = ln(Re/2000)/ln 2."""
        y0, m0, c2, c3 = self.cubic[0], self.cubic[1], self.cubic[2][at], self.cubic[3][at]
        k, local, unit = self.k[at], self.local[at], self.unit[at]
        low, high = np.log(self.dp_laminar[at]), np.log(self.dp_turbulent[at])
        t = (np.log(dp) - low) / (high - low)
        for _ in range(30):
            v = RE_LAMINAR * unit * np.exp(t * self.width)
            kf = k * np.exp(y0 + t * (m0 + t * (c2 + t * c3)))
            slope = m0 + t * (2.0 * c2 + 3.0 * t * c3)
            now = (kf + local) * v * v
            dp_dt = (kf * (slope + 2.0 * self.width) + 2.0 * local * self.width) * v * v
            step = np.clip(t - np.log(now / dp) * now / dp_dt, 0.0, 1.0) - t
            t = t + step
            if np.max(np.abs(step)) <= 1e-8:
                break
        v = v * (1.0 + step * self.width)
        return v, v * self.width / dp_dt


class Seams:
    """Power laws with the cubic below 0.01 Pa, all seams at once."""

    def __init__(self, net):
        self.n = net["n"]
        self.low_a, self.low_b = 0.5 * (3.0 - self.n), 0.5 * (self.n - 1.0)

    def flow_and_slope(self, dp, q25):
        size = np.abs(dp)
        away = np.maximum(size, SWITCH)
        q = q25 * (away / 25.0) ** self.n
        slope = self.n * q / away
        inside = np.flatnonzero(size < SWITCH)
        flow = np.copysign(q, dp)
        if len(inside):
            x = dp[inside] / SWITCH
            a, b = self.low_a[inside], self.low_b[inside]
            flow[inside] = q[inside] * x * (a + b * x * x)
            slope[inside] = q[inside] / SWITCH * (a + 3.0 * b * x * x)
        return flow, slope


class Solver:
    def __init__(self, net):
        self.net = net
        self.nodes = net["nodes"]
        self.tail, self.head = net["tail"].astype(np.int64), net["head"].astype(np.int64)
        self.seam_node = net["seam_node"].astype(np.int64)
        self.zone = net["zone"]
        self.ducts, self.seams = Ducts(net), Seams(net)
        free = np.ones(self.nodes, dtype=bool)
        free[net["held"]] = False
        self.free = np.flatnonzero(free)
        number = np.full(self.nodes, -1, dtype=np.int64)
        number[self.free] = np.arange(len(self.free))
        a, b = number[self.tail], number[self.head]
        self.inner = np.flatnonzero((a >= 0) & (b >= 0))
        rows = np.concatenate([a[self.inner], b[self.inner], np.arange(len(self.free))])
        cols = np.concatenate([b[self.inner], a[self.inner], np.arange(len(self.free))])
        # Pattern once: `place` sums the entries of a triplet list into the columns of the matrix.
        key = cols * len(self.free) + rows
        unique, self.place = np.unique(key, return_inverse=True)
        self.entries = len(unique)
        counts = np.bincount(unique // len(self.free), minlength=len(self.free))
        self.indptr = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
        self.indices = (unique % len(self.free)).astype(np.int32)
        self.pressure = None

    def per_node(self, ducts, seams, sign):
        """Sum at each node of a duct column (its head with the given sign) and a seam column."""
        out = np.bincount(self.tail, ducts, self.nodes) + sign * np.bincount(self.head, ducts, self.nodes)
        return out + np.bincount(self.seam_node, seams, self.nodes)

    def factor(self, duct_slope, seam_slope):
        diagonal = self.per_node(duct_slope, seam_slope, 1.0)[self.free]
        g = duct_slope[self.inner]
        values = np.bincount(self.place, np.concatenate([-g, -g, diagonal]), self.entries)
        matrix = sparse.csc_matrix((values, self.indices, self.indptr), shape=(len(self.free),) * 2)
        return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})

    def evaluate(self, pressure, q25):
        duct, duct_slope = self.ducts.flow_and_slope(pressure[self.tail] - pressure[self.head])
        seam, seam_slope = self.seams.flow_and_slope(pressure[self.seam_node] - self.zone, q25)
        out = self.per_node(duct, seam, -1.0)
        largest = max(np.max(np.abs(duct)), np.max(np.abs(seam)))
        return out, duct, duct_slope, seam_slope, largest

    def cold_start(self, q25):
        """Two linear solves: ducts straight through 1 Pa, then through their own loss at the flow found."""
        hold, held = self.net["hold_pa"], self.net["held"]
        self.ducts.forget()
        gap = hold - self.zone
        seam, steep = self.seams.flow_and_slope(gap, q25)
        chord = np.where(np.abs(gap) >= SWITCH, seam / np.where(gap == 0.0, 1.0, gap), steep)
        inward = np.bincount(self.seam_node, chord * gap, self.nodes)[self.free]
        ones = np.ones(len(self.tail))
        slope = self.ducts.flow_and_slope(ones)[0]
        pressure = np.full(self.nodes, hold)
        for again in (False, True):
            pressure[self.free] = hold - self.factor(slope, chord).solve(inward)
            pressure[held] = hold
            if not again:
                flow = slope * (pressure[self.tail] - pressure[self.head])
                drop = self.ducts.drop(flow)
                still = np.abs(drop) <= 1e-9
                slope = np.where(still, self.ducts.flow_and_slope(1e-9 * ones)[1], flow / np.where(still, 1.0, drop))
        self.ducts.forget()
        return pressure

    def solve(self, q25, cold):
        """Number of Newton steps; the pressures stay in `self.pressure`."""
        pressure = self.cold_start(q25) if cold else self.pressure
        state = self.evaluate(pressure, q25)
        for steps in range(100):
            out, _, duct_slope, seam_slope, largest = state
            balance = out[self.free]
            rounding = 8.0 * np.finfo(float).eps * np.max(np.abs(pressure))
            slopes = self.per_node(duct_slope, seam_slope, 1.0)[self.free]
            if np.all(np.abs(balance) <= np.maximum(IMBALANCE * largest, rounding * slopes)):
                self.pressure = pressure
                return steps
            step = self.factor(duct_slope, seam_slope).solve(-balance)
            downhill, part = balance @ step, 1.0
            for _ in range(40):
                trial = pressure.copy()
                trial[self.free] += part * step
                state = self.evaluate(trial, q25)
                along = state[0][self.free] @ step
                if along <= -0.5 * downhill:
                    break
                part *= min(0.7, max(0.1, downhill / (downhill - along)))
            else:
                raise RuntimeError("no shorter step helps")
            pressure = trial
        raise RuntimeError("did not settle")


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    libraries = memory_mb()
    repeats = int(sys.argv[3]) if len(sys.argv) > 3 else 5
    net = read(sys.argv[1])
    start = time.perf_counter()
    solver = Solver(net)
    prepare = time.perf_counter() - start
    q25 = net["q25"]
    sign = np.where(np.arange(len(q25)) % 2 == 0, 1.0, -1.0)
    moved = [q25 * np.exp(0.02 * sign), q25 * np.exp(-0.02 * sign)]
    cold = warm = float("inf")
    warm_steps = 0
    for _ in range(repeats):
        start = time.perf_counter()
        cold_steps = solver.solve(q25, cold=True)
        cold = min(cold, time.perf_counter() - start)
    solver.pressure.astype("<f8").tofile(sys.argv[2])
    for i in range(2 * repeats):
        start = time.perf_counter()
        steps = solver.solve(moved[i % 2], cold=False)
        took = time.perf_counter() - start
        if i > 0:                                  # the first one moves by half as much as the others
            warm, warm_steps = min(warm, took), max(warm_steps, steps)
    print(f"prepare={prepare:e} cold={cold:e} cold_steps={cold_steps} warm={warm:e} warm_steps={warm_steps} "
          f"memory={memory_mb()} libraries={libraries}")


if __name__ == "__main__":
    main()
