#!/usr/bin/env python3
"""Loss coefficients of bends, transitions, entries, screens and junctions by a general fluid-dynamics library.

Needs: fluids (1.3.1 was used).
Run:   python make_fittings.py        (writes losses.csv and junctions.csv beside this script)
Each coefficient is the mean of several published methods that the library holds, with the least and the greatest of them.
"""
import math
import pathlib
from fluids import filters, fittings, friction

HERE = pathlib.Path(__file__).resolve().parent
D = 0.2                       # m; only Reynolds number, roughness and ratios matter
ROUGH = 9e-5                  # m, galvanized


def bend(r_d, re, angle=90):
    """Without the friction along its own axis, which a duct's length already has."""
    f = friction.friction_factor(Re=re, eD=ROUGH / D)
    axis = f * math.radians(angle) * r_d
    kinds = ("Rennels", "Ito", "Miller")
    return [fittings.bend_rounded(Di=D, angle=angle, bend_diameters=r_d, Re=re, roughness=ROUGH, method=k) - axis for k in kinds]


def mitre(angle):
    kinds = ("Rennels", "Miller", "Blevins")
    return [fittings.bend_miter(angle=angle, Di=D, Re=2e5, roughness=ROUGH, method=k) for k in kinds]


def contraction(ratio, angle):
    kinds = ("Rennels", "Idelchik", "Blevins", "Miller")
    return [fittings.contraction_conical(Di1=math.sqrt(ratio) * D, Di2=D, angle=angle, Re=2e5, fd=0.0, method=k) for k in kinds]


def enlargement(ratio, angle):
    kinds = ("Rennels", "Idelchik")
    return [fittings.diffuser_conical(Di1=D, Di2=math.sqrt(ratio) * D, angle=angle, Re=2e5, fd=0.0, method=k) for k in kinds]


rows = [(f"bend r/D {r} Re {re:g}", bend(r, re)) for r in (1, 1.5, 2) for re in (1e5, 1e6)]
rows += [(f"mitre {a}", mitre(a)) for a in (20, 30, 45, 60, 75, 90)]
rows += [(f"contraction {n} {a}", contraction(n, a)) for n in (2, 4) for a in (30, 60, 90, 120, 150, 180)]
rows += [(f"enlargement {n} {a}", enlargement(n, a)) for n in (2, 4) for a in (10, 20, 30, 180)]
rows += [("sudden enlargement 2", [fittings.diffuser_sharp(D, math.sqrt(2) * D)])]
rows += [("entry flush", [fittings.entrance_sharp(m) for m in ("Rennels", "Idelchik", "Miller")])]
rows += [("entry projecting", [fittings.entrance_distance(Di=1, t=0.001, l=0.5, method="Idelchik")])]
rows += [("exit", [fittings.exit_normal()])]
rows += [(f"screen {a}", [filters.round_edge_screen(alpha=a, Re=200)]) for a in (0.5, 0.7, 0.8)]
with open(HERE / "losses.csv", "w") as out:
    out.write("what,mean,least,greatest\n")
    for what, k in rows:
        out.write(f"{what},{sum(k) / len(k):.6g},{min(k):.6g},{max(k):.6g}\n")

# Tees and wyes: the library's one set of formulas, from a handbook of pipe flow. Coefficients on the common leg.
law = {n: getattr(fittings, next(x for x in dir(fittings) if x.startswith("K_" + n)))
       for n in ("branch_diverging", "run_diverging", "branch_converging", "run_converging")}
with open(HERE / "junctions.csv", "w") as out:
    out.write("angle_deg,area_ratio,flow_ratio," + ",".join(law) + "\n")
    for angle in (45, 90):
        for area in (0.1, 0.2, 0.3, 0.38, 0.5, 0.8):
            for flow in (0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 0.95):
                k = [f(1.0, math.sqrt(area), 1 - flow, flow, angle) for f in law.values()]
                out.write(f"{angle},{area},{flow}," + ",".join(f"{x:.10g}" for x in k) + "\n")
