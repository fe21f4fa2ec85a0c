"""From a case (cases.py) to arrays, shared by all solvers; no density in here. Equations: README.md."""
import itertools

import numpy as np

NONE, WISP, STRONG = 0, 1, 2


class Model:
    def __init__(self, case):
        c = self.c = case["constants"]
        ss = case["seams"]
        self.n_seams = len(ss)
        types = [t["id"] for t in case["joint_types"]]
        self.type = np.array([types.index(s["joint_type"]) for s in ss])
        self.n_types = len(types)
        self.field = np.array([1.0 if s["field_made"] else 0.0 for s in ss])
        self.sd = np.log([s["gsd"] for s in ss])
        self.m = np.log([s["mean_q25_m3_s"] for s in ss]) - self.sd**2 / 2
        self.own = np.sqrt(self.sd**2 - self.field * (c["workmanship_sd"] ** 2 + c["habit_sd"] ** 2))
        self.n0 = np.array([s["n"] for s in ss])
        self.supply = np.array([s["side"] == "supply" for s in ss])
        amount = np.array([float(s["amount"]) for s in ss])
        # readings
        rs = case["readings"]
        self.y = np.array([r["measured_m3_s"] for r in rs])
        self.p = np.array([r["pressure_pa"] for r in rs])
        self.sigma = np.array([np.hypot(r["relative_sd"] * r["measured_m3_s"], r["floor_sd_m3_s"]) for r in rs])
        self.wide = np.hypot(self.sigma, c["wide_ln"] * self.y)
        self.part = np.zeros((len(rs), self.n_seams))
        for k, r in enumerate(rs):
            self.part[k, r["parts"]] = 1.0
        self.uses_n = bool(np.any(self.p != 25.0))
        # looks, a group statement spread out: seam, observer, report, ln(p/25), ln amount
        obs, flat, self.gaps, self.odds = [], [], [], np.full(self.n_seams, -np.inf)
        for i, s in enumerate(ss):
            if "gross_chance" in s:
                self.odds[i] = np.log(s["gross_chance"] / (1 - s["gross_chance"]))
        for lk in case["looks"]:
            if lk["kind"] in ("smoke", "smoke_group"):
                if lk["observer"] not in obs:
                    obs.append(lk["observer"])
                for i in [lk["seam"]] if lk["kind"] == "smoke" else lk["seams"]:
                    flat.append((i, obs.index(lk["observer"]), ["none", "wisp", "strong"].index(lk["report"]), np.log(lk["p_look_pa"] / 25.0), np.log(amount[i])))
            elif lk["kind"] == "gap":
                self.gaps.append((lk["seam"], np.log(lk["q_gap_m3_s"])))
            elif lk["kind"] == "hanging":
                self.odds[lk["seam"]] += np.log(c["hanging_if_gross"] / c["hanging_if_not"])
            elif lk["kind"] == "sealed_and_sound":
                self.odds[lk["seam"]] += np.log(c["sealed_if_gross"] / c["sealed_if_not"])
        self.n_obs = len(obs)
        self.lk_seam, self.lk_obs, self.lk_rep = (np.array([f[j] for f in flat], int) for j in range(3))
        self.lk_lp, self.lk_lamt = (np.array([f[j] for f in flat], float) for j in (3, 4))
        # gross hypotheses: none, singles, pairs; ln odds against none
        area = np.array([s.get("gross_area_m2", 1.0) for s in ss])
        full = c["gross_discharge"] * area * np.sqrt(2 * 25 / c["air_density_kg_m3"])
        self.gross_m = np.log(c["gross_factor"] * full)
        self.cand = [i for i in range(self.n_seams) if np.isfinite(self.odds[i])]
        self.hyps = [()] + [(i,) for i in self.cand] + list(itertools.combinations(self.cand, 2))
        self.hyp_odds = np.array([sum(self.odds[i] for i in h) for h in self.hyps])
        self.center = self.m
