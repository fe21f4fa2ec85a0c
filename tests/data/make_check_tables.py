#!/usr/bin/env python3
"""Regenerate the small check tables (CSV) that the tests read.

Needs: numpy, fluids (friction factors), psychrolib (moist-air density, standard pressure).
Run:   python make_check_tables.py        (writes the CSV files beside this script)
All quantities SI. Numbers are printed with enough digits for 1e-9 relative comparisons.
"""
import csv, math, pathlib
import numpy as np
import psychrolib as ps
from fluids import friction as fr

ps.SetUnitSystem(ps.SI)
HERE = pathlib.Path(__file__).resolve().parent
R_DRY, T0 = 287.055, 273.15          # J/(kg K): dry-air gas constant of the CIPM mixture


def p_std(z):                        # ISO 2533 troposphere, closed form, z in m (geopotential)
    return 101325.0 * (1.0 - 0.0065 * z / 288.15) ** (9.80665 / (0.0065 * 287.05287))


def mu_suth(T):                      # ISO 2533 Sutherland form, T in K
    return 1.458e-6 * T ** 1.5 / (T + 110.4)


def colebrook(Re, ed):               # Newton on x = 1/sqrt(f), to machine precision
    x = 1.0 / math.sqrt(fr.Haaland(Re, max(ed, 1e-12)))
    for _ in range(60):
        a = ed / 3.7 + 2.51 * x / Re
        dx = (x + 2.0 * math.log10(a)) / (1.0 + 2.0 * 2.51 / (Re * a * math.log(10.0)))
        x -= dx
        if abs(dx) < 1e-15 * x:
            break
    return 1.0 / (x * x)


def churchill(Re, ed):               # Churchill 1977, all regimes, Darcy form
    A = (2.457 * math.log(1.0 / ((7.0 / Re) ** 0.9 + 0.27 * ed))) ** 16
    return 8.0 * ((8.0 / Re) ** 12 + (A + (37530.0 / Re) ** 16) ** -1.5) ** (1.0 / 12.0)


def f_blend(Re, ed, a=2000.0, b=4000.0):
    """64/Re below a, Colebrook above b, cubic Hermite in ln Re of ln f between (C1)."""
    if Re <= a:
        return 64.0 / Re
    if Re >= b:
        return colebrook(Re, ed)
    h, t = math.log(b / a), math.log(Re / a) / math.log(b / a)
    y0, y1, m0 = math.log(64.0 / a), math.log(colebrook(b, ed)), -1.0
    d = 1e-5
    m1 = (math.log(colebrook(b * (1 + d), ed)) - math.log(colebrook(b * (1 - d), ed))) / math.log((1 + d) / (1 - d))
    return math.exp((2 * t**3 - 3 * t**2 + 1) * y0 + (t**3 - 2 * t**2 + t) * h * m0
                    + (-2 * t**3 + 3 * t**2) * y1 + (t**3 - t**2) * h * m1)


def write(name, head, rows):
    with open(HERE / name, "w", newline="") as fh:
        w = csv.writer(fh, lineterminator="\n")
        w.writerow(head)
        w.writerows(rows)
    print(name, len(rows))


g = lambda v: format(v, ".12g")
RES = [4e3, 1e4, 3e4, 1e5, 3e5, 1e6, 1e7]
EDS = [0.0, 1e-5, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 5e-2]

# 1. Colebrook-White grid, own Newton against the library's closed (Lambert-W/Clamond) value
rows = []
for Re in RES:
    for ed in EDS:
        own, lib = colebrook(Re, ed), float(fr.Colebrook(Re, ed))
        assert abs(own / lib - 1) < 1e-9, (Re, ed, own, lib)
        rows.append([g(Re), g(ed), g(own), g(churchill(Re, ed))])
write("colebrook_grid.csv", ["Re", "eps_over_D", "f_colebrook", "f_churchill1977"], rows)

# 2. Accuracy of explicit approximations against Colebrook-White
APP = {"Haaland 1983": fr.Haaland, "Swamee-Jain 1976": fr.Swamee_Jain_1976, "Altshul-Tsal 1989": fr.Tsal_1989,
       "Churchill 1977": churchill, "Serghides 1 1984": fr.Serghides_1, "Serghides 2 1984": fr.Serghides_2,
       "Zigrang-Sylvester 2 1982": fr.Zigrang_Sylvester_2, "Buzzelli 2008": fr.Buzzelli_2008,
       "Sonnad-Goudar 2006": fr.Sonnad_Goudar_2006}
BOX = {"duct": (4e3, 5e5, 1e-4, 2e-2), "wide": (4e3, 1e8, 1e-6, 5e-2)}
rows = []
for nm, fn in APP.items():
    out = [nm]
    for (ra, rb, ea, eb) in BOX.values():
        e = [fn(Re, ed) / colebrook(Re, ed) - 1 for Re in np.geomspace(ra, rb, 120) for ed in np.geomspace(ea, eb, 80)]
        out += [format(100 * min(e), ".5f"), format(100 * max(e), ".5f")]
    rows.append(out)
write("friction_approximations.csv", ["formula", "duct_min_err_pct", "duct_max_err_pct", "wide_min_err_pct", "wide_max_err_pct"], rows)

# 3. Laminar, transition and low turbulent range
rows = [[g(Re), g(ed), g(f_blend(Re, ed)), g(churchill(Re, ed))] for ed in (0.0, 1e-3, 1e-2)
        for Re in (100, 500, 1000, 1500, 2000, 2100, 2300, 2500, 2800, 3000, 3300, 3600, 4000, 5000, 8000)]
for ed in (0.0, 1e-3, 1e-2, 5e-2):   # loss must rise with flow: f Re^2 strictly increasing for both rules
    for fn in (f_blend, churchill):
        s = [fn(Re, ed) * Re * Re for Re in np.geomspace(10, 1e6, 4000)]
        assert all(b > a for a, b in zip(s, s[1:])), (fn.__name__, ed)
write("friction_low_re.csv", ["Re", "eps_over_D", "f_blend_2000_4000", "f_churchill1977"], rows)

# 4. Air density and viscosity over temperature, altitude and humidity
rows = []
for z in (0, 500, 1000, 1655, 2000, 3000):
    p = p_std(z)
    assert abs(p / ps.GetStandardAtmPressure(z) - 1) < 2e-5
    for tc in (-20, 0, 10, 20, 30, 40, 60, 80):
        for rh in (0.0, 0.5):
            if rh and tc > 60:
                continue
            w = ps.GetHumRatioFromRelHum(tc, rh, p) if rh else 0.0
            rho = ps.GetMoistAirDensity(tc, w, p)
            ideal = p * (1 + w) / (R_DRY * (tc + T0) * (1 + w / 0.621945))
            assert abs(rho / ideal - 1) < 2e-4
            mu = mu_suth(tc + T0)
            rows.append([z, tc, rh, format(p, ".3f"), format(w, ".7f"), g(ideal), format(rho, ".6f"), g(mu), g(mu / ideal)])
write("air_properties.csv", ["z_m", "t_C", "rh", "p_Pa", "w_kgkg", "rho_ideal", "rho_psychrolib", "mu_Pa_s", "nu_m2_s"], rows)

# 5. Named standard-air points
rows = []
for nm, tc, p, w in [("ISO 2533 sea level 15 C", 15, 101325, 0), ("20 C dry 101325 Pa", 20, 101325, 0), ("21.11 C (70 F) dry 101325 Pa", 190 / 9, 101325, 0),
                     ("25 C dry 101325 Pa", 25, 101325, 0), ("20 C 50% RH 101325 Pa", 20, 101325, ps.GetHumRatioFromRelHum(20, 0.5, 101325)),
                     ("20 C dry at 1655 m", 20, p_std(1655), 0), ("55 C dry (warm supply) 101325 Pa", 55, 101325, 0), ("13 C 90% RH (cool supply) 101325 Pa", 13, 101325, ps.GetHumRatioFromRelHum(13, 0.9, 101325))]:
    rho, mu = p * (1 + w) / (R_DRY * (tc + T0) * (1 + w / 0.621945)), mu_suth(tc + T0)
    rows.append([nm, format(tc, ".4f"), format(p, ".3f"), format(w, ".7f"), g(rho), g(mu), g(mu / rho), g(0.5 * rho * 25.0)])
write("standard_air.csv", ["name", "t_C", "p_Pa", "w_kgkg", "rho_kg_m3", "mu_Pa_s", "nu_m2_s", "pv_at_5_m_s_Pa"], rows)

# 6. Friction loss per metre for eight duct size/flow pairs (rho 1.204, nu from 20 C)
rho, mu = 1.204, mu_suth(293.15)
rows = []
for nm, a, b, eps, q in [("round 125 galvanized", .125, 0, .09e-3, .030), ("round 150 galvanized", .150, 0, .09e-3, .050), ("round 200 spiral", .200, 0, .12e-3, .120),
                         ("round 150 flex stretched", .150, 0, .9e-3, .050), ("round 250 flex stretched", .250, 0, .9e-3, .200), ("rect 500x200 galvanized", .5, .2, .09e-3, .450),
                         ("rect 600x250 lined faced", .6, .25, 1.52e-3, .600), ("round 350 spiral", .350, 0, .12e-3, .560)]:
    A, Dh = (math.pi * a * a / 4, a) if not b else (a * b, 2 * a * b / (a + b))
    V = q / A
    Re = rho * V * Dh / mu
    f = colebrook(Re, eps / Dh)
    rows.append([nm, g(a), g(b), g(eps), g(q), g(V), g(Dh), g(Re), g(f), g(f / Dh * rho * V * V / 2)])
write("duct_friction_8.csv", ["case", "a_m", "b_m", "eps_m", "Q_m3_s", "V_m_s", "Dh_m", "Re", "f_darcy", "dp_per_m_Pa"], rows)
