"""Makes the series of this folder and what scipy and statsmodels say of them.

Run `python make_series.py` in this folder, with numpy, scipy and statsmodels installed. All series are invented: a power law
with made-up scatter, seeded. No openly published pressure and flow table of a duct test, free to be stored here, is known to us.

Reference figures, all of natural logarithms of flow in m3/s over pressure in Pa:
  alike     scipy.stats.linregress (slope, intercept, rvalue), scipy.stats.t.ppf, statsmodels OLS (standard errors, and
            get_prediction for that of the mean at 4, 25 and 50 Pa). The standard errors of linregress are formed from
            1 - r^2, which leaves them two digits where the points lie on the line
  weighted  statsmodels WLS with weights 1/((sQ/Q)^2 + (n sp/p)^2), n iterated from 0.6 until it stands still; covariance with
            scale 1 times max(1, chi2/(N - 2))
"""

import csv

import numpy as np
import scipy.stats as st
import statsmodels.api as sm

CFM = 0.3048**3 / 60
rng = np.random.default_rng(20)
AT = (4.0, 25.0, 50.0)


def series(name, pressures, c_cfm, n, scatter, flow_part=0.03, pressure_sd=0.25, bend=0.0):
    p = np.array(pressures, float)
    x = np.log(p / 25.0)
    q = c_cfm * p**n * np.exp(scatter * rng.standard_normal(p.size) + bend * x**2)
    flow_sd = flow_part * q if np.ndim(flow_part) == 0 else np.array(flow_part) * q
    return name, p, q, flow_sd, np.full(p.size, pressure_sd)


ALL = [
    series("exact", [10, 20, 25, 35, 50, 60], 40.0, 0.6, 0.0),
    series("noisy", [10, 15, 20, 25, 30, 40, 50, 60], 38.0, 0.62, 0.02),
    series("three", [12.5, 25, 50], 22.0, 0.58, 0.01),
    series("uneven", [5, 8, 12, 20, 25, 40, 60], 12.0, 0.65, 0.03, flow_part=[0.10, 0.08, 0.05, 0.03, 0.02, 0.02, 0.02]),
    series("wide", [2, 5, 10, 25, 60, 120, 250], 55.0, 0.57, 0.015),
    series("repeats", [15, 15, 25, 25, 25, 40, 40, 60], 30.0, 0.55, 0.025),
    series("tight", [25, 35, 50, 75, 100], 1.7, 0.70, 0.01, flow_part=0.05),
    series("bent", [5, 10, 15, 25, 40, 60, 100], 40.0, 0.60, 0.003, bend=0.06),
]

rows = []
for name, p, q, fsd, psd in ALL:
    q, fsd, p = np.round(q, 4), np.round(fsd, 5), np.round(p, 3)
    with open(f"{name}.csv", "w", newline="") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["pressure (Pa)", "pressure error (Pa)", "flow (cfm)", "flow error (cfm)"])
        for line in zip(p, psd, q, fsd):
            w.writerow([repr(float(v)) for v in line])
    x, y = np.log(p), np.log(q * CFM)
    count = p.size
    fit = st.linregress(x, y)
    design = sm.add_constant(x)
    ols = sm.OLS(y, design).fit()
    new = sm.add_constant(np.log(np.array(AT)))
    se = ols.get_prediction(new).se_mean
    rows.append([name, "alike", count, fit.slope, ols.bse[1], fit.intercept, ols.bse[0], fit.rvalue**2,
                 st.t.ppf(0.975, count - 2), *se, ""])
    n = 0.6
    for _ in range(200):
        weight = 1.0 / ((fsd / q) ** 2 + (n * psd / p) ** 2)
        wls = sm.WLS(y, design, weights=weight).fit()
        if abs(wls.params[1] - n) < 1e-15:
            break
        n = wls.params[1]
    chi2 = float(np.sum(weight * wls.resid**2))
    cov = wls.normalized_cov_params * max(1.0, chi2 / (count - 2))
    se = [float(np.sqrt(v @ cov @ v)) for v in new]
    rows.append([name, "weighted", count, wls.params[1], np.sqrt(cov[1, 1]), wls.params[0], np.sqrt(cov[0, 0]), "",
                 st.t.ppf(0.975, count - 2), *se, chi2])

with open("reference.csv", "w", newline="") as f:
    w = csv.writer(f, lineterminator="\n")
    w.writerow("series fit points n n_se ln_c ln_c_se r2 t se_4 se_25 se_50 chi_square".split())
    for row in rows:
        w.writerow([v if isinstance(v, str) else repr(float(v)) for v in row])

with open("student.csv", "w", newline="") as f:
    w = csv.writer(f, lineterminator="\n")
    w.writerow(["freedom", "t_975", "at", "cdf"])
    for nu in [1, 2, 3, 4, 5, 6, 8, 11, 20, 50, 3.7, 12.6, 200, 1e4]:
        for at in [-3.0, -0.5, 0.25, 2.0]:
            w.writerow([repr(float(nu)), repr(float(st.t.ppf(0.975, nu))), repr(at), repr(float(st.t.cdf(at, nu)))])
