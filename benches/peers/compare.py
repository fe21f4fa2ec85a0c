#!/usr/bin/env python3
"""Solve networks with both sides, compare the pressures and print a table. Usage: compare.py PROGRAM FOLDER NODES...

PROGRAM is the built `solve_network`; networks and answers go into FOLDER. One process per network and side, one after the
other, each on one thread.
"""
import os
import pathlib
import subprocess
import sys

import numpy as np

from make_network import invent, write

HERE = pathlib.Path(__file__).resolve().parent
SEED = 1
AGREEMENT = 1e-8                                # of the largest pressure
ONE_THREAD = {name: "1" for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")}


def figures(command):
    """The name=figure pairs that a side prints."""
    done = subprocess.run(command, capture_output=True, text=True, env={**os.environ, **ONE_THREAD})
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, command))} failed:\n{done.stdout}{done.stderr}")
    return {name: float(value) for name, value in (pair.split("=") for pair in done.stdout.split())}


def span(seconds):
    """Three digits with a unit."""
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("us", 1e-6)):
        if seconds >= size or unit == "us":
            return f"{seconds / size:.3g} {unit}"


def main():
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    program, folder, sizes = sys.argv[1], pathlib.Path(sys.argv[2]), [int(v) for v in sys.argv[3:]]
    folder.mkdir(parents=True, exist_ok=True)
    print("here = this crate, peer = sparse Newton with numpy and scipy; memory of the peer: whole process (libraries alone)\n")
    head = ("nodes", "prepare here", "peer", "cold here", "peer", "ratio", "steps", "warm here", "peer", "ratio", "steps", "memory here", "peer", "apart")
    widths = (7, 12, 8, 9, 8, 5, 6, 9, 8, 5, 6, 11, 14, 8)
    print("  ".join(name.rjust(width) for name, width in zip(head, widths)))
    agree = True
    for nodes in sizes:
        network = folder / f"{nodes}.network"
        write(network, invent(nodes, SEED))
        repeats = str(max(3, min(50, 200_000 // nodes)))
        answers = [folder / f"{nodes}.{side}" for side in ("here", "peer")]
        here = figures([program, network, answers[0], repeats])
        peer = figures([sys.executable, HERE / "sparse_newton.py", network, answers[1], repeats])
        a, b = (np.fromfile(path, "<f8") for path in answers)
        apart = float(np.max(np.abs(a - b)) / np.max(np.abs(b))) if len(a) == len(b) else float("inf")
        agree &= apart <= AGREEMENT                # NaN fails
        row = (nodes, span(here["prepare"]), span(peer["prepare"]), span(here["cold"]), span(peer["cold"]), f"{peer['cold'] / here['cold']:.1f}",
               f"{here['cold_steps']:.0f}, {peer['cold_steps']:.0f}", span(here["warm"]), span(peer["warm"]), f"{peer['warm'] / here['warm']:.1f}",
               f"{here['warm_steps']:.0f}, {peer['warm_steps']:.0f}", f"{here['memory']:.0f} MB", f"{peer['memory']:.0f} ({peer['libraries']:.0f}) MB", f"{apart:.0e}")
        print("  ".join(str(cell).rjust(width) for cell, width in zip(row, widths)), flush=True)
    if not agree:
        sys.exit(f"pressures differ by more than {AGREEMENT:g} of the largest")


if __name__ == "__main__":
    main()
