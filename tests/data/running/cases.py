"""Invented running duct systems. Return ducts are laid away from the unit, so that their air runs from head to tail."""
import math

from laws import MU0, RHO0

CURVE = [[25.0, 0.66], [75.0, 0.63], [125.0, 0.58], [175.0, 0.52], [225.0, 0.44]]
CONSTANT = [[0.0, 0.45], [200.0, 0.45], [260.0, 0.20]]


def rd(tail, head, length, dia, loss=0.0, eps=0.00009, mult=1.0):
    return {"kind": "duct", "tail": tail, "head": head, "length_m": length, "hydraulic_diameter_m": dia,
            "area_m2": round(math.pi * dia * dia / 4, 9), "roughness_m": eps, "friction_factor": mult, "loss": loss}


def rect(tail, head, length, a, b, loss=0.0, eps=0.00009):
    return {"kind": "duct", "tail": tail, "head": head, "length_m": length,
            "hydraulic_diameter_m": round(2 * a * b / (a + b), 9), "area_m2": round(a * b, 9), "roughness_m": eps,
            "friction_factor": 1.0, "loss": loss}


def comp(tail, head, dp, q, m=2.0):
    return {"kind": "component", "tail": tail, "head": head, "dp_pa": dp, "q_m3_s": q, "m": m}


def blower(tail, head, points):
    return {"kind": "blower", "tail": tail, "head": head, "points": points}


def path(tail, head, q, dp, n):
    return {"kind": "path", "tail": tail, "head": head, "q_m3_s": q, "dp_pa": dp, "n": n}


def seam(node, lps, n, zone=0.0, zone_node=None, stream=None):
    """`stream`: branch whose velocity pressure the leak does not feel."""
    s = {"node": node}
    if zone_node is None:
        s["zone_pa"] = zone
    else:
        s["zone_node"] = zone_node
    s["q25_m3_s"], s["n"] = round(lps / 1000.0, 9), n
    if stream is not None:
        s["velocity"] = {"branch": stream}
    return s


def junction(side, form, common, branch, straight, angle=90.0, low=False):
    return {"form": form, "angle_deg": angle, "low": low, "side": side, "common": common, "branch": branch, "straight": straight}


def case(name, about, nodes, branches, seams, held, start, junctions=(), fan=None, air=None):
    """`start`: pressures of the free nodes for the second method, in order."""
    net = {"name": name, "about": about, "air": air or {"rho": RHO0, "mu": MU0}, "nodes": nodes,
           "held": [{"node": k, "pa": p} for k, p in held], "branches": branches, "seams": seams}
    for s in seams:
        if "velocity" in s:
            s["velocity"]["area_m2"] = branches[s["velocity"]["branch"]]["area_m2"]
    if junctions:
        net["junctions"] = list(junctions)
    net["fan"], net["start"] = fan, start
    return net


def cases():
    yield blower_two_leaks()
    yield constant_flow()
    yield house_floats()
    yield closed_room()
    yield attic_and_garage()
    yield three_tees()
    yield wyes()
    yield converging_return()
    yield return_wyes()
    yield fast_air("fast_air", "leaks in fast air: 2n·pv/ps near 0.6 at the far leak", 0.150, 13.5)
    yield fast_air("faster_air", "leaks in faster air: 2n·pv/ps above 1, where taking pv from the last flow without relaxation runs away", 0.125, 16.0)
    yield loop()
    yield altitude()
    yield tap_elsewhere()
    yield pan()


def blower_two_leaks():
    nodes = ["house", "return box", "supply plenum", "boot"]
    branches = [rect(1, 0, 3.0, 0.5, 0.4, 1.8), blower(1, 2, CURVE), rect(2, 3, 9.0, 0.45, 0.3, 4.5), comp(3, 0, 6.0, 0.5)]
    return case("blower_two_leaks", "blower, one return leak, one supply leak, all surroundings at given pressures", nodes, branches,
                [seam(1, 30.0, 0.6), seam(2, 25.0, 0.62, -1.5)], [(0, 0.0)], [-50.0, 80.0, 10.0])


def constant_flow():
    nodes = ["house", "return box", "supply plenum", "near boot", "far boot"]
    branches = [rect(1, 0, 3.0, 0.5, 0.4, 3.0), blower(1, 2, CONSTANT), rd(2, 3, 6.0, 0.25, 2.0), rd(2, 4, 14.0, 0.25, 3.0, 0.0009, 1.5),
                comp(3, 0, 5.0, 0.2), comp(4, 0, 5.0, 0.2)]
    return case("constant_flow", "blower that keeps its flow: its curve is flat where it works", nodes, branches,
                [seam(1, 22.0, 0.6), seam(2, 15.0, 0.58), seam(3, 8.0, 0.65, 2.0), seam(4, 12.0, 0.55)], [(0, 0.0)], [-40.0, 70.0, 8.0, 8.0])


def house_floats():
    nodes = ["outdoors", "house", "return box", "supply plenum", "boot", "boot 2"]
    branches = [rect(2, 1, 4.0, 0.5, 0.4, 2.0), blower(2, 3, CURVE), rect(3, 4, 8.0, 0.4, 0.25, 3.0), rect(3, 5, 6.0, 0.4, 0.25, 3.5),
                comp(4, 1, 6.0, 0.3), comp(5, 1, 6.0, 0.3), path(1, 0, 0.35, 50.0, 0.65)]
    return case("house_floats", "supply and return joined through the house, which floats on its envelope; supply leaks out, return leaks from the house and from outdoors",
                nodes, branches, [seam(2, 6.0, 0.6), seam(2, 12.0, 0.62, zone_node=1), seam(3, 45.0, 0.6), seam(4, 30.0, 0.55), seam(5, 9.0, 0.65, zone_node=1)],
                [(0, 0.0)], [-2.0, -50.0, 60.0, 6.0, 6.0])


def closed_room():
    nodes = ["outdoors", "house", "bedroom", "return box", "supply plenum", "bedroom boot", "hall boot"]
    branches = [rect(3, 1, 3.0, 0.5, 0.4, 2.5), blower(3, 4, CURVE), rd(4, 5, 7.0, 0.25, 1.5), rect(4, 6, 5.0, 0.4, 0.3, 3.0),
                comp(5, 2, 6.0, 0.15), comp(6, 1, 6.0, 0.4), path(2, 1, 0.040, 4.0, 0.5), path(2, 1, 0.004, 4.0, 0.65),
                path(1, 0, 0.28, 50.0, 0.65), path(2, 0, 0.05, 50.0, 0.65)]
    return case("closed_room", "a room with its door shut: undercut and cracks to the house, envelope of its own; the room rises, the house falls",
                nodes, branches, [seam(3, 8.0, 0.6), seam(4, 14.0, 0.6), seam(5, 6.0, 0.55, zone_node=2), seam(5, 4.0, 0.62), seam(6, 10.0, 0.6), seam(3, 5.0, 0.6, zone_node=1)],
                [(0, 0.0)], [-3.0, 4.0, -60.0, 60.0, 9.0, 6.0])


def attic_and_garage():
    nodes = ["outdoors", "house", "attic", "garage", "return box", "supply plenum", "boot"]
    branches = [rect(4, 1, 3.0, 0.5, 0.4, 2.5), blower(4, 5, CURVE), rect(5, 6, 9.0, 0.45, 0.3, 3.5), comp(6, 1, 7.0, 0.5),
                path(1, 0, 0.20, 50.0, 0.65), path(1, 2, 0.09, 50.0, 0.62), path(2, 0, 0.15, 4.0, 0.5), path(1, 3, 0.03, 50.0, 0.65), path(3, 0, 0.05, 4.0, 0.6)]
    return case("attic_and_garage", "attic and garage are nodes between house and outdoors; supply leaks into the attic, return draws from the garage",
                nodes, branches, [seam(4, 28.0, 0.6, zone_node=3), seam(4, 6.0, 0.65, zone_node=1), seam(5, 40.0, 0.6, zone_node=2), seam(6, 22.0, 0.55, zone_node=2), seam(6, 5.0, 0.6, zone_node=1)],
                [(0, 0.0)], [-2.0, 0.1, -0.1, -50.0, 60.0, 7.0])


def three_tees():
    nodes = ["house", "return box", "supply plenum", "tee 1", "tee 2", "tee 3", "trunk end", "boot 1", "boot 2", "boot 3", "boot end"]
    branches = [rect(1, 0, 2.0, 0.6, 0.45, 1.2), blower(1, 2, CURVE),                        # 0, 1
                rect(2, 3, 3.0, 0.45, 0.25, 0.5), rect(3, 4, 3.0, 0.45, 0.25), rect(4, 5, 3.0, 0.35, 0.20), rect(5, 6, 2.5, 0.25, 0.20),   # 2..5
                rd(3, 7, 4.0, 0.175, 1.0), rd(4, 8, 5.0, 0.200, 1.2), rd(5, 9, 4.5, 0.225, 1.4, 0.0009, 1.3), rd(6, 10, 3.0, 0.200, 0.8),  # 6..9
                comp(7, 0, 8.0, 0.12), comp(8, 0, 8.0, 0.12), comp(9, 0, 8.0, 0.15), comp(10, 0, 8.0, 0.12)]
    seams = [seam(1, 12.0, 0.6), seam(2, 5.0, 0.6), seam(3, 9.0, 0.6, stream=2), seam(3, 3.0, 0.62, stream=6), seam(4, 8.0, 0.65, stream=3),
             seam(5, 7.0, 0.55, stream=4), seam(6, 5.0, 0.6, 1.0, stream=5), seam(7, 4.0, 0.6, stream=6), seam(8, 5.0, 0.58, stream=7), seam(9, 3.0, 0.6, stream=8)]
    return case("three_tees", "supply trunk with three diverging tees in a row, one of them low; leaks feel static pressure", nodes, branches, seams,
                [(0, 0.0)], [-40.0, 80.0, 70.0, 62.0, 57.0, 52.0, 14.0, 14.0, 14.0, 14.0],
                [junction("supply", "tee", 2, 6, 3), junction("supply", "tee", 3, 7, 4), junction("supply", "tee", 4, 8, 5, low=True)])


def wyes():
    nodes = ["house", "return box", "supply plenum", "wye 1", "wye 2", "boot 1", "boot 2", "boot 3"]
    branches = [rect(1, 0, 2.0, 0.6, 0.45, 1.2), blower(1, 2, CURVE), rd(2, 3, 4.0, 0.350, 0.4), rd(3, 4, 5.0, 0.300), rd(4, 7, 6.0, 0.250, 0.6),
                rd(3, 5, 3.0, 0.200, 0.5), rd(4, 6, 5.0, 0.225, 0.3), comp(5, 0, 9.0, 0.11), comp(6, 0, 9.0, 0.14), comp(7, 0, 9.0, 0.15)]
    seams = [seam(1, 10.0, 0.6), seam(3, 12.0, 0.6, stream=2), seam(4, 9.0, 0.62, stream=3), seam(5, 6.0, 0.55, stream=5), seam(6, 7.0, 0.6, stream=6), seam(7, 8.0, 0.65, -2.0, stream=4)]
    return case("wyes", "two diverging wyes of 45 and 60 degrees, one with its branch speed where the factor slides from 1 to 0.9", nodes, branches, seams,
                [(0, 0.0)], [-30.0, 90.0, 80.0, 70.0, 20.0, 20.0, 20.0],
                [junction("supply", "wye", 2, 5, 3, 45.0), junction("supply", "wye", 3, 6, 4, 60.0)])


def converging_return():
    nodes = ["outdoors", "house", "supply plenum", "return box", "tee 1", "tee 2", "grille 1", "grille 2", "grille 3"]
    branches = [blower(3, 2, CURVE), comp(2, 1, 60.0, 0.55, 1.9),                             # 0, 1
                rect(3, 4, 3.0, 0.40, 0.30, 0.6), rect(4, 5, 3.5, 0.40, 0.30), rect(5, 8, 4.0, 0.40, 0.30, 0.8),    # 2..4
                rd(4, 6, 4.0, 0.200, 0.8), rd(5, 7, 4.0, 0.300, 0.9),                        # 5, 6
                comp(6, 1, 8.0, 0.15), comp(7, 1, 8.0, 0.25), comp(8, 1, 8.0, 0.3), path(1, 0, 0.3, 50.0, 0.65)]
    seams = [seam(2, 20.0, 0.6), seam(3, 12.0, 0.6), seam(4, 7.0, 0.6, stream=2), seam(4, 3.0, 0.6, zone_node=1, stream=5), seam(5, 8.0, 0.65, stream=3), seam(6, 4.0, 0.55, stream=5), seam(8, 6.0, 0.62, stream=4)]
    return case("converging_return", "return with two converging tees, a narrow branch and a wide one; leaks feel static pressure", nodes, branches, seams,
                [(0, 0.0)], [-1.0, 60.0, -70.0, -55.0, -40.0, -15.0, -15.0, -15.0],
                [junction("return", "tee", 2, 5, 3), junction("return", "tee", 3, 6, 4)])


def return_wyes():
    nodes = ["house", "supply plenum", "return box", "wye 1", "wye 2", "grille 1", "grille 2", "grille 3"]
    branches = [blower(2, 1, CURVE), comp(1, 0, 60.0, 0.55, 1.9), rect(2, 3, 3.0, 0.40, 0.30, 0.6), rect(3, 4, 3.5, 0.40, 0.30),
                rect(4, 7, 4.0, 0.40, 0.30, 0.8), rd(3, 5, 4.0, 0.300, 0.8), rd(4, 6, 4.0, 0.200, 0.9), comp(5, 0, 8.0, 0.14), comp(6, 0, 8.0, 0.12), comp(7, 0, 8.0, 0.3)]
    seams = [seam(1, 20.0, 0.6), seam(2, 12.0, 0.6), seam(3, 9.0, 0.6, stream=2), seam(4, 8.0, 0.65, 1.0, stream=3), seam(5, 5.0, 0.55, stream=5), seam(7, 6.0, 0.62, stream=4)]
    return case("return_wyes", "return with two converging wyes, the second without a straight leg of its own in the list", nodes, branches, seams, [(0, 0.0)],
                [60.0, -70.0, -55.0, -40.0, -15.0, -15.0, -15.0],
                [junction("return", "wye", 2, 5, 3, 45.0), junction("return", "wye", 3, 6, None, 30.0)])


def fast_air(name, about, dia, lps):
    nodes = ["house", "return box", "supply plenum", "run end", "boot"]
    branches = [rect(1, 0, 2.0, 0.5, 0.4, 1.0), blower(1, 2, CURVE), rd(2, 3, 2.0, dia, 0.05), rect(2, 4, 6.0, 0.5, 0.3, 1.0), comp(4, 0, 35.0, 0.5)]
    seams = [seam(1, 10.0, 0.6), seam(3, lps * 4.5, 0.6, stream=2), seam(3, lps * 1.5, 0.7, stream=2), seam(4, 10.0, 0.6, stream=3)]
    return case(name, about, nodes, branches, seams, [(0, 0.0)], [-30.0, 60.0, 50.0, 45.0])


def loop():
    nodes = ["outdoors", "house", "return box", "supply plenum", "corner a", "corner b", "corner c", "corner d"]
    branches = [rect(2, 1, 3.0, 0.5, 0.4, 1.5), blower(2, 3, CURVE), rd(3, 4, 4.0, 0.35, 0.6), rd(4, 5, 8.0, 0.25, 0.5), rd(5, 6, 6.0, 0.2, 0.5), rd(6, 7, 8.0, 0.2, 0.5), rd(7, 4, 6.0, 0.25, 0.5),
                comp(5, 1, 9.0, 0.2), comp(6, 1, 9.0, 0.18), comp(7, 1, 9.0, 0.16), path(1, 0, 0.4, 50.0, 0.65)]
    seams = [seam(2, 9.0, 0.6), seam(3, 6.0, 0.6), seam(4, 12.0, 0.6, stream=2), seam(5, 8.0, 0.55, stream=3), seam(6, 6.0, 0.62, stream=4), seam(7, 9.0, 0.65, stream=6), seam(7, 4.0, 0.6, zone_node=1, stream=5)]
    return case("loop", "perimeter loop fed by the blower; leaks on its legs feel static pressure", nodes, branches, seams, [(0, 0.0)],
                [-1.0, -40.0, 80.0, 60.0, 25.0, 20.0, 20.0])


def altitude():
    temperature, pressure = 286.15, 84556.0
    air = {"rho": round(pressure / (287.055 * temperature), 6), "mu": 1.458e-6 * temperature * temperature**0.5 / (temperature + 110.4)}
    nodes = ["outdoors", "house", "return box", "supply plenum", "tee", "boot 1", "boot 2"]
    branches = [rect(2, 1, 3.0, 0.5, 0.4, 1.5), blower(2, 3, CURVE), rect(3, 4, 5.0, 0.40, 0.25, 0.6), rect(4, 6, 5.0, 0.35, 0.20, 1.2), rd(4, 5, 3.0, 0.25, 0.4),
                comp(5, 1, 7.0, 0.24), comp(6, 1, 7.0, 0.10, 1.9), path(1, 0, 0.3, 50.0, 0.65)]
    seams = [seam(2, 15.0, 0.6), seam(2, 5.0, 0.65, zone_node=1), seam(3, 12.0, 0.62), seam(4, 9.0, 0.55, stream=2), seam(5, 6.0, 0.7, stream=4), seam(6, 7.0, 0.58, -1.0, stream=3)]
    return case("altitude", "air of 13 °C at 1500 m everywhere: thin air in ducts, blower, leaks and envelope", nodes, branches, seams, [(0, 0.0)],
                [-1.0, -40.0, 60.0, 50.0, 10.0, 10.0], [junction("supply", "tee", 2, 4, 3)], air=air)


def tap_elsewhere():
    nodes = ["return grille", "return box", "cabinet inlet", "cabinet outlet", "supply plenum", "tee", "boot 1", "boot 2"]
    branches = [rd(1, 0, 6.0, 0.30, 0.9, 0.0009, 1.4), rect(2, 1, 0.5, 0.45, 0.4), comp(2, 3, 20.0, 0.30, 1.9), comp(3, 4, 60.0, 0.45, 1.6), rd(4, 5, 6.0, 0.200, 0.6), rd(5, 6, 6.0, 0.150, 1.2), rd(5, 7, 5.0, 0.150, 0.9)]
    seams = [seam(0, 1.5, 0.55), seam(1, 9.0, 0.6), seam(2, 8.5, 0.6), seam(3, 2.8, 0.6), seam(4, 12.0, 0.62, stream=4), seam(5, 18.0, 0.6, stream=4), seam(6, 28.0, 0.58, stream=5), seam(7, 22.0, 0.6, 1.0, stream=6)]
    return case("tap_elsewhere", "test fan at the return grille, tap in the stream at the tee of the supply; leaks feel static pressure; no pressure is held but the tap's",
                nodes, branches, seams, [], [40.0, 38.0, 37.5, 35.0, 30.0, 27.0, 24.0, 23.0],
                [junction("supply", "wye", 4, 5, 6, 45.0)],
                fan={"node": 0, "tap": 5, "tap_pa": 25.0, "tap_velocity": {"branch": 4, "area_m2": branches[4]["area_m2"]}})


def pan():
    nodes = ["outdoors", "house", "attic", "return grille", "return box", "supply plenum", "trunk", "boot 1", "boot 2", "covered boot"]
    branches = [comp(3, 1, 8.0, 0.5), rect(4, 3, 4.0, 0.5, 0.4, 0.8), comp(4, 5, 40.0, 0.5, 1.9), rect(5, 6, 4.0, 0.4, 0.25, 0.5), rd(6, 7, 5.0, 0.15, 1.0), rd(6, 8, 6.0, 0.15, 1.2), rd(6, 9, 6.0, 0.15, 1.2, 0.0009, 1.4),
                comp(7, 1, 6.0, 0.06), comp(8, 1, 6.0, 0.06), path(9, 1, 0.0006, 25.0, 0.6), path(2, 0, 0.25, 4.0, 0.55)]
    seams = [seam(4, 10.0, 0.6, zone_node=2), seam(5, 14.0, 0.6, zone_node=2), seam(6, 12.0, 0.62, zone_node=2, stream=3), seam(7, 9.0, 0.58, zone_node=2), seam(8, 4.0, 0.6, zone_node=2), seam(9, 6.0, 0.6, zone_node=2), seam(9, 1.0, 0.55)]
    return case("pan", "house held at -50 Pa by a test fan of its own, registers open but one under a pan with a little leak at its rim, blower idle; the attic floats",
                nodes, branches, seams, [(0, 0.0), (1, -50.0)], [-0.2, -49.0, -48.5, -48.0, -47.0, -47.5, -47.5, -45.0])
