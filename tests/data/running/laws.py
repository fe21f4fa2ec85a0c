"""Laws of a running duct system, in any number type: `m` is the maths module, `math` or `mpmath.mp`.

The equations stand in README.md; friction is that of ../networks.
"""
import math
import pathlib
import sys

import mpmath as mp

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "networks"))
from make_networks import friction  # noqa: E402

mp.mp.dps = 50
RHO0 = 1.204                                        # kg/m3: flows are volumes at this density
MU0 = 1.458e-6 * 293.15 * 293.15**0.5 / (293.15 + 110.4)   # Pa s, Sutherland form at 20 C
SWITCH = "0.01"                                     # Pa: leaks follow the cubic law below


def number(m):
    return mp.mpf if m is mp else float


# ------------------------------------------------------------------ leaks
def leak_scale(n, air, m):
    """Flow at 1.204 kg/m3 in this air over that in standard air."""
    num = number(m)
    return (num(air["mu"]) / num(MU0)) ** (1 - 2 * n) * (num(air["rho"]) / num(RHO0)) ** n


def leak_flow(q_ref, dp_ref, n, d, air, m):
    delta = number(m)(SWITCH)
    q_ref = q_ref * leak_scale(n, air, m)
    if abs(d) >= delta:
        mag = q_ref * (abs(d) / dp_ref) ** n
        return mag if d > 0 else -mag
    x = d / delta
    return q_ref * (delta / dp_ref) ** n * ((3 - n) / 2 * x + (n - 1) / 2 * x**3)


# ------------------------------------------------------------------ pieces
def speed(q, b, air, m):
    """Velocity, m/s, signed as the flow."""
    num = number(m)
    return q * num(RHO0) / num(air["rho"]) / num(b["area_m2"])


def velocity_pressure(v, air, m):
    return number(m)(air["rho"]) * v * v / 2


def passive_drop(b, q, air, m):
    """Pressure at the tail minus pressure at the head of a duct or component."""
    num = number(m)
    rho, mu = num(air["rho"]), num(air["mu"])
    if b["kind"] == "component":
        volume = abs(q) * num(RHO0) / rho
        mag = num(b["dp_pa"]) * rho / num(RHO0) * (volume / num(b["q_m3_s"])) ** num(b["m"])
        return mag if q >= 0 else -mag
    d, v = num(b["hydraulic_diameter_m"]), abs(speed(q, b, air, m))
    length, mult, loss = num(b["length_m"]), num(b["friction_factor"]), num(b["loss"])
    re = rho * v * d / mu
    if re <= 2000:
        mag = mult * 32 * mu * length * v / d**2 + loss * rho * v * v / 2
    else:
        mag = (friction(re, num(b["roughness_m"]) / d, m) * length / d * mult + loss) * rho * v * v / 2
    return mag if q >= 0 else -mag


# ------------------------------------------------------------------ blower
def pchip_slopes(x, y):
    """Slopes of the monotone piecewise cubic through the points."""
    h = [b - a for a, b in zip(x, x[1:])]
    s = [(b - a) / step for a, b, step in zip(y, y[1:], h)]
    if len(s) == 1:
        return [s[0], s[0]]

    def end(h0, h1, s0, s1):
        slope = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
        if slope * s0 <= 0:
            return 0 * s0
        if s0 * s1 < 0 and abs(slope) > 3 * abs(s0):
            return 3 * s0
        return slope

    slopes = [end(h[0], h[1], s[0], s[1])]
    for k in range(1, len(s)):
        if s[k - 1] * s[k] <= 0:
            slopes.append(0 * s[k])
        else:
            w1, w2 = 2 * h[k] + h[k - 1], h[k] + 2 * h[k - 1]
            slopes.append((w1 + w2) / (w1 / s[k - 1] + w2 / s[k]))
    slopes.append(end(h[-1], h[-2], s[-1], s[-2]))
    return slopes


def blower_volume(points, rise, m):
    """Actual volume flow in standard air at a static rise."""
    num = number(m)
    x, y = [num(p[0]) for p in points], [num(p[1]) for p in points]
    slopes = pchip_slopes(x, y)
    least = y[0] / x[-1]
    if rise < x[0]:
        q = y[0] - max(abs(slopes[0]), least / 1000) * (rise - x[0])
    elif rise > x[-1]:
        q = y[-1] - max(abs(slopes[-1]), y[-1] / x[-1]) * (rise - x[-1])
    else:
        k = max(i for i in range(len(x) - 1) if i == 0 or rise >= x[i])
        h = x[k + 1] - x[k]
        t = (rise - x[k]) / h
        q = ((1 + 2 * t) * (1 - t) ** 2 * y[k] + t * (1 - t) ** 2 * h * slopes[k]
             + t * t * (3 - 2 * t) * y[k + 1] + t * t * (t - 1) * h * slopes[k + 1])
    return q - least / 1000000 * (rise - x[0])


def active_flow(b, d, air, m):
    """Flow of a blower or a path at the pressure at its tail minus that at its head."""
    num = number(m)
    if b["kind"] == "path":
        return leak_flow(num(b["q_m3_s"]), num(b["dp_pa"]), num(b["n"]), d, air, m)
    ratio = num(air["rho"]) / num(RHO0)
    return blower_volume(b["points"], -d / ratio, m) * ratio


# ------------------------------------------------------------------ junctions
def smoothstep(t):
    t = min(max(t, 0 * t), 0 * t + 1)
    return t * t * (3 - 2 * t)


def junction_losses(j, q, branches, air, m):
    """Losses of total pressure (branch leg, straight leg) in the ordinary direction."""
    num = number(m)
    sign = 1 if j["side"] == "supply" else -1
    common, branch = branches[j["common"]], branches[j["branch"]]
    qc, qb = sign * q[j["common"]], sign * q[j["branch"]]
    rho = num(air["rho"])
    vc, vb = speed(qc, common, air, m), speed(qb, branch, air, m)
    a = num(branch["area_m2"]) / num(common["area_m2"])
    cos = 0 if j["form"] == "tee" else m.cos(m.pi * num(j["angle_deg"]) / 180)
    own = own_factor(j, a, m)
    own_part = own * velocity_pressure(vb, air, m) * (1 if qb >= 0 else -1)
    if qc <= 0:
        return own_part, 0 * qc
    pvc = velocity_pressure(vc, air, m)
    vb = max(vb, 0 * vb)
    pvb = velocity_pressure(vb, air, m)
    r = max(qb / qc, 0 * qb)
    if j["side"] == "supply":
        if j["form"] == "tee":
            whole = pvc + own * pvb
        else:
            falls = 1 - smoothstep((vb / vc - num("0.6")) / num("0.2")) / 10
            whole = falls * (pvc + pvb - 2 * cos * rho * vc * vb / 2)
        if a <= num("0.4"):
            tau = num("0.4")
        else:
            tau = (2 if 2 * r <= 1 else num("0.3")) * (2 * r - 1)
        straight = tau * r * r * pvc
    else:
        factor = num(1) if a <= num("0.35") else max(num("0.9") * (1 - r), num("0.55"))
        whole = factor * (pvc + pvb - 2 * (1 - r) ** 2 * pvc - 2 * r * r / a * cos * pvc)
        straight = (num("1.55") * r - r * r) * pvc
    return own_part + whole - own * pvb, straight


def own_factor(j, a, m):
    """Part of the branch leg's own velocity pressure that reverses with its flow."""
    num = number(m)
    if j["side"] == "return":
        return num(1) if a <= num("0.35") else num("0.55")
    if j["form"] == "wye":
        return num("0.9")
    return num(1) if j["low"] else num("0.3")


def junction_drops(net, q, m):
    """Extra pressure at the tail minus that at the head of each branch."""
    extra = [0 * v for v in q]
    for j in net.get("junctions", []):
        sign = 1 if j["side"] == "supply" else -1
        branch, straight = junction_losses(j, q, net["branches"], net["air"], m)
        extra[j["branch"]] += sign * branch
        if j["straight"] is not None:
            extra[j["straight"]] += sign * straight
    return extra
