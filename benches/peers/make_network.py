#!/usr/bin/env python3
"""Invent a large duct network by seed and write it in the format of README.md.

Usage: make_network.py NODES SEED FILE
"""
import sys

import numpy as np

RHO = 1.204                                        # kg/m3
MU = 1.458e-6 * 293.15**1.5 / (293.15 + 110.4)     # Pa s, Sutherland form at 20 C
DUCT_COLUMNS = ("area", "diameter", "length", "roughness", "factor", "loss")
SEAM_COLUMNS = ("zone", "q25", "n")


def tree(nodes, rng):
    """Parent of each node but the first: the newest node for half of them, else one with a free side."""
    parent = np.zeros(nodes, dtype=np.int64)
    children = np.zeros(nodes, dtype=np.int64)
    for node in range(1, nodes):
        at = node - 1
        if rng.random() < 0.5:
            while True:
                at = int(rng.integers(node))
                if children[at] < 3:
                    break
        parent[node] = at
        children[at] += 1
    return parent


def joins(nodes, parent, count, rng):
    """Pairs of nodes some joints apart: a few steps up, then as many steps down at random."""
    below = [[] for _ in range(nodes)]
    for node in range(1, nodes):
        below[parent[node]].append(node)
    pairs = set()
    for _ in range(60 * count):
        if len(pairs) == count:
            break
        start = int(rng.integers(1, nodes))
        trail, at = {start}, start
        for _ in range(int(rng.integers(2, 5))):
            at = int(parent[at])
            trail.add(at)
        for _ in range(4):
            onward = [child for child in below[at] if child not in trail]
            if not onward:
                break
            at = onward[int(rng.integers(len(onward)))]
        if at != start and parent[start] != at:
            pairs.add((min(at, start), max(at, start)))
    return sorted(pairs)


def invent(nodes, seed):
    """All columns of one network."""
    rng = np.random.default_rng(seed)
    parent = tree(nodes, rng)
    pairs = joins(nodes, parent, max(1, nodes // 100), rng)
    second = np.flatnonzero(rng.random(nodes) < 0.3)
    seam_node = np.sort(np.concatenate([np.arange(nodes), second]))
    q25 = 4e-4 * np.exp(np.log(2.0) * rng.standard_normal(len(seam_node)))
    # Leakage that passes each tree piece, about: everything beyond it.
    beyond = np.bincount(seam_node, q25, nodes)
    for node in range(nodes - 1, 0, -1):
        beyond[parent[node]] += beyond[node]
    passes = beyond[1:]
    for a, b in pairs:
        passes = np.append(passes, 0.5 * min(beyond[a], beyond[b]))
    # Friction below 0.1 Pa/m with f = 0.02: 0.02/D * rho/2 * (4 q/(pi D^2))^2 = 0.1.
    size = (0.02 * RHO / 2.0 * (4.0 * passes / np.pi) ** 2 / 0.1) ** 0.2
    size = np.maximum(0.1, 0.025 * np.ceil(size / 0.025))
    ducts = len(size)
    return {
        "nodes": nodes,
        "held": 0,
        "hold_pa": 25.0,
        "tail": np.concatenate([parent[1:], [a for a, _ in pairs]]).astype("<u4"),
        "head": np.concatenate([np.arange(1, nodes), [b for _, b in pairs]]).astype("<u4"),
        "area": np.pi * size * size / 4.0,
        "diameter": size,
        "length": rng.uniform(1.0, 4.0, ducts),
        "roughness": rng.choice([9e-5, 9e-4], ducts),
        "factor": rng.choice([1.0, 1.0, 1.8], ducts),
        "loss": rng.choice([0.0, 0.15, 0.4, 1.2], ducts),
        "seam_node": seam_node.astype("<u4"),
        "zone": rng.choice([0.0, 0.0, 3.0, -2.0], len(seam_node)),
        "q25": q25,
        "n": rng.uniform(0.5, 0.75, len(seam_node)),
    }


def write(path, net):
    with open(path, "wb") as file:
        file.write(b"AIRNET01")
        file.write(np.array([net["nodes"], len(net["tail"]), len(net["seam_node"]), net["held"]], dtype="<u4").tobytes())
        file.write(np.array([RHO, MU, net["hold_pa"]], dtype="<f8").tobytes())
        for name in ("tail", "head"):
            file.write(net[name].tobytes())
        for name in DUCT_COLUMNS:
            file.write(net[name].astype("<f8").tobytes())
        file.write(net["seam_node"].tobytes())
        for name in SEAM_COLUMNS:
            file.write(net[name].astype("<f8").tobytes())


def read(path):
    """The columns of a network file, with `rho`, `mu`, `hold_pa`, `nodes`, `held`."""
    with open(path, "rb") as file:
        data = file.read()
    if data[:8] != b"AIRNET01":
        raise ValueError(f"{path}: not a network file")
    nodes, ducts, seams, held = (int(v) for v in np.frombuffer(data, "<u4", 4, 8))
    rho, mu, hold_pa = np.frombuffer(data, "<f8", 3, 24)
    net = {"nodes": nodes, "held": held, "rho": float(rho), "mu": float(mu), "hold_pa": float(hold_pa)}
    at = 48

    def column(name, kind, count):
        nonlocal at
        net[name] = np.frombuffer(data, kind, count, at)
        at += net[name].nbytes

    for name in ("tail", "head"):
        column(name, "<u4", ducts)
    for name in DUCT_COLUMNS:
        column(name, "<f8", ducts)
    column("seam_node", "<u4", seams)
    for name in SEAM_COLUMNS:
        column(name, "<f8", seams)
    if at != len(data):
        raise ValueError(f"{path}: {len(data)} bytes where {at} belong")
    return net


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    write(sys.argv[3], invent(int(sys.argv[1]), int(sys.argv[2])))
