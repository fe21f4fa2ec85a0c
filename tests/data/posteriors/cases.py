"""The invented cases as plain dictionaries, written as they stand into the JSON files. Equations: README.md. SI throughout."""
import math

# every number: engineering estimate of the model under test, repeated here so that the files stand alone
CONSTANTS = {
    "workmanship_sd": math.log(1.7), "habit_sd": math.log(1.3), "exponent_sd": 0.04, "exponent_min": 0.5, "exponent_max": 1.0,
    "wide_share": 0.05, "wide_ln": math.log(2.0),
    "smoke_t1_m3_s": 1.5e-4, "smoke_t2_m3_s": 8e-4, "smoke_sd": 0.7, "observer_sd": 0.5, "gap_sd": 0.6,
    "gross_factor": 0.3, "gross_sd": math.log(2.0), "gross_exponent": 0.5, "gross_discharge": 0.6, "air_density_kg_m3": 1.204,
    "gross_at_most": 2, "hanging_if_gross": 0.9, "hanging_if_not": 0.002, "sealed_if_gross": 0.01, "sealed_if_not": 1.0}

TYPES = {"round-crimp": True, "flex-collar": True, "boot-gap": True, "boot-body": False, "case": False}     # id: field made
ALL, SUPPLY, RETURN = list(range(20)), list(range(12)), list(range(12, 20))
CFM = 0.3048**3 / 60     # exact

# type, arithmetic mean of the flow at 25 Pa in L/s, geometric standard deviation, exponent, amount (each, or metres for boot gaps)
BASE = [
    ("round-crimp", 0.20, 2.2, 0.65, 1), ("round-crimp", 0.20, 2.2, 0.65, 1), ("round-crimp", 0.10, 2.2, 0.65, 1), ("round-crimp", 0.30, 2.3, 0.65, 2),
    ("flex-collar", 0.62, 2.5, 0.60, 1), ("flex-collar", 0.62, 2.5, 0.60, 1), ("flex-collar", 1.25, 2.5, 0.60, 2), ("boot-gap", 1.60, 2.5, 0.55, 1.2),
    ("boot-gap", 1.20, 2.5, 0.55, 0.9), ("boot-gap", 0.48, 2.5, 0.55, 0.9), ("boot-body", 0.45, 2.0, 0.62, 1), ("boot-body", 0.45, 2.0, 0.62, 1),
    ("round-crimp", 0.40, 2.2, 0.65, 2), ("round-crimp", 0.30, 2.2, 0.65, 1), ("flex-collar", 0.90, 2.5, 0.60, 1), ("boot-gap", 3.00, 3.0, 0.55, 2.0),
    ("boot-body", 0.30, 2.0, 0.62, 1), ("case", 6.00, 1.6, 0.60, 4), ("case", 2.50, 1.6, 0.60, 2), ("case", 0.80, 2.3, 0.55, 1)]

# gross leak: chance and duct area in m2: rounds of 5, 6, 7, 8, 10 and 14 inches, a 20 x 20 inch drop
ROUND = {d: round(math.pi / 4 * (d * 0.0254) ** 2, 6) for d in (5, 6, 7, 8, 10, 14)}
GROSS = {0: (0.003, ROUND[8]), 1: (0.003, ROUND[7]), 2: (0.002, ROUND[6]), 3: (0.004, ROUND[10]), 4: (0.010, ROUND[6]), 5: (0.010, ROUND[7]),
         6: (0.010, ROUND[8]), 7: (0.005, ROUND[6]), 8: (0.005, ROUND[7]), 9: (0.005, ROUND[5]), 10: (0.002, ROUND[6]), 11: (0.002, ROUND[7]),
         12: (0.004, ROUND[10]), 13: (0.003, ROUND[8]), 14: (0.010, ROUND[10]), 15: (0.006, ROUND[14]), 16: (0.002, ROUND[14]), 17: (0.004, 0.258064),
         18: (0.003, 0.258064), 19: (0.002, ROUND[14])}


def seam(row, side, scale=1.0, gross=None):
    t, mean, gsd, n, amount = row
    s = {"joint_type": t, "side": side, "field_made": TYPES[t], "mean_q25_m3_s": float("%.6g" % (mean * scale * 1e-3)), "gsd": gsd, "n": n, "amount": amount}
    return s | ({"gross_chance": gross[0], "gross_area_m2": gross[1]} if gross else {})


def twenty(scale=1.0, gross=None):
    return [seam(r, "supply" if i < 12 else "return", scale, (gross or {}).get(i)) for i, r in enumerate(BASE)]


def reading(name, p, part, y, rel, floor=0.0002):
    return {"id": name, "pressure_pa": p, "parts": part, "measured_m3_s": y, "relative_sd": rel, "floor_sd_m3_s": floor}


def smoke(seam, observer, report, p=25.0):
    return {"kind": "smoke", "seam": seam, "observer": observer, "report": report, "p_look_pa": p}


def case(title, seams, readings, looks, types=TYPES):
    return {"about": "invented case; equations in README.md; lossless ducts; SI; ln is the natural logarithm of m3/s", "title": title,
            "constants": CONSTANTS, "joint_types": [{"id": t, "field_made": f} for t, f in types.items()],
            "seams": seams, "readings": readings, "looks": looks}


def looks():
    ls = [smoke(0, "a", "none"), smoke(1, "a", "wisp"), smoke(4, "a", "wisp"), smoke(5, "a", "strong"), smoke(6, "a", "wisp"), smoke(7, "a", "strong"),
          smoke(10, "a", "none"), smoke(2, "b", "none", 20.0), smoke(3, "b", "wisp", 20.0), smoke(8, "b", "wisp", 20.0), smoke(12, "b", "none", 15.0),
          smoke(14, "b", "strong", 15.0), smoke(17, "b", "wisp", 15.0), smoke(19, "b", "strong", 15.0),
          {"kind": "smoke_group", "seams": [7, 8, 9, 15], "observer": "c", "report": "wisp", "p_look_pa": 25.0},
          {"kind": "gap", "seam": 15, "q_gap_m3_s": 0.0022}]
    return case("20 seams, total and supply, 14 smoke looks by two observers, one statement about all boot gaps, one gap look", twenty(),
                [reading("total", 25.0, ALL, 0.0215, 0.03), reading("supply", 25.0, SUPPLY, 0.0088, 0.03)], ls)


def gross():
    ls = [smoke(4, "a", "wisp"), smoke(5, "a", "wisp"), smoke(6, "a", "none"), smoke(7, "a", "strong"), smoke(0, "a", "none"),
          smoke(14, "b", "wisp"), smoke(15, "b", "strong"), smoke(17, "b", "strong"), smoke(12, "b", "none")]
    return case("20 seams that may each be torn open, a high total and a supply reading, nine smoke looks", twenty(gross=GROSS),
                [reading("total", 25.0, ALL, 0.050, 0.03), reading("supply", 25.0, SUPPLY, 0.031, 0.04)], ls)


def rich():
    runs = {"run 1": [0, 4, 7], "run 2": [1, 5, 8], "run 3": [2, 6, 9, 10], "run 4": [12, 14, 15], "run 5": [13, 16]}
    y = {"total 25": 0.02270, "total 10": 0.01285, "total 50": 0.03440, "supply": 0.00915, "return": 0.01400,
         "run 1": 0.00268, "run 2": 0.00330, "run 3": 0.00206, "run 4": 0.00515, "run 5": 0.00066}
    rs = [reading("total at 25 Pa", 25.0, ALL, y["total 25"], 0.03), reading("total at 10 Pa", 10.0, ALL, y["total 10"], 0.03),
          reading("total at 50 Pa", 50.0, ALL, y["total 50"], 0.03), reading("supply", 25.0, SUPPLY, y["supply"], 0.04),
          reading("return", 25.0, RETURN, y["return"], 0.04)] + [reading(k, 25.0, p, y[k], 0.05, 0.00005) for k, p in runs.items()]
    rep = ["none", "wisp", "none", "wisp", "wisp", "strong", "wisp", "wisp", "strong", "wisp", "none", "wisp",
           "wisp", "none", "strong", "strong", "none", "strong", "wisp", "wisp"]
    ls = [smoke(i, "a" if i < 12 else "b", r, 25.0 if i < 12 else 20.0) for i, r in enumerate(rep)]
    return case("20 seams, ten readings, 20 smoke looks", twenty(), rs, ls)


def contradictory():
    return case("20 seams, two totals that contradict each other: 200 and 300 cfm at 25 Pa", twenty(scale=5.4),
                [reading("first total", 25.0, ALL, 200 * CFM, 0.03), reading("second total", 25.0, ALL, 300 * CFM, 0.03)], [])


def hanging():
    rows = [(("flex-collar", 0.62, 2.5, 0.60, 1), (0.010, ROUND[6])), (("flex-collar", 0.62, 2.5, 0.60, 1), (0.010, ROUND[7])),
            (("flex-collar", 0.04, 2.0, 0.60, 1), (0.010, ROUND[8])), (("boot-gap", 1.20, 2.5, 0.55, 1.0), (0.005, ROUND[7])),
            (("boot-gap", 1.20, 2.5, 0.55, 1.0), (0.005, ROUND[6])), (("case", 3.00, 1.6, 0.60, 2), (0.002, 0.258064))]
    ls = [{"kind": "hanging", "seam": 0}, {"kind": "sealed_and_sound", "seam": 2}, smoke(1, "a", "strong"), smoke(3, "a", "wisp"),
          smoke(4, "a", "none"), smoke(5, "b", "strong")]
    seams = [seam(r, "supply" if i < 5 else "return", 1.0, g) for i, (r, g) in enumerate(rows)]
    return case("6 seams, one seen hanging, one seen sealed and sound (its row is the mastic row), smoke on the others, one total", seams,
                [reading("total", 25.0, list(range(6)), 0.0195, 0.03)], ls)


def grid3():
    types = {"case": False, "boot-body": False, "panned-bay": False}
    seams = [{"joint_type": "case", "side": "return", "field_made": False, "mean_q25_m3_s": 0.004, "gsd": 1.8, "n": 0.60, "amount": 3},
             {"joint_type": "boot-body", "side": "supply", "field_made": False, "mean_q25_m3_s": 0.002, "gsd": 2.0, "n": 0.62, "amount": 2},
             {"joint_type": "panned-bay", "side": "supply", "field_made": False, "mean_q25_m3_s": 0.003, "gsd": 2.2, "n": 0.58, "amount": 4,
              "gross_chance": 0.01, "gross_area_m2": ROUND[6]}]
    ls = [smoke(0, "a", "strong", 20.0), smoke(1, "b", "none", 25.0), smoke(2, "c", "strong", 30.0)]
    return case("3 factory seams, one total, one smoke look each by three observers, one seam may be torn open", seams,
                [reading("total", 25.0, [0, 1, 2], 0.016, 0.03)], ls, types)


def conjugate():
    types = {"round-crimp": True, "flex-collar": True, "case": False}
    rows = [("round-crimp", 0.20, 2.2, 0.65, 1), ("round-crimp", 0.40, 2.4, 0.65, 1), ("flex-collar", 0.62, 2.5, 0.60, 1),
            ("flex-collar", 1.25, 2.5, 0.60, 1), ("case", 2.50, 1.6, 0.60, 1), ("case", 0.80, 2.3, 0.55, 1)]
    seams = [seam(r, "supply" if i < 4 else "return") for i, r in enumerate(rows)]
    gaps = [{"kind": "gap", "seam": i, "q_gap_m3_s": q} for i, q in ((0, 0.0006), (2, 0.0015), (4, 0.0011), (2, 0.0009))]
    return case("6 seams, no reading: gap looks alone (normal posterior in closed form), and no evidence at all (the prior)", seams, [], gaps, types)
