"""Solves the cases of trim.json with HiGHS on this machine and writes how long each took.

    pip install highspy numpy
    python tests/bench/trim_highs.py tests/reference/trim.json highs.csv

The columns are those that bench_trim reads: id, points, total_s. Three integer programs per case, one after
the other: least |net - target|, then least |pitch| + |roll|, then least mass. The optima are compared with
the file's, so that what is timed is the same problem.
"""
import csv
import json
import sys
import time

import highspy
import numpy as np


class Program:
    """One case as columns: a count per point and size, a total per size, three absolute values."""

    def __init__(self, case):
        rho = case["water_density_kg_m3"]
        self.points, self.sizes = case["points"], case["weights"]
        self.force = [rho * w["volume_cm3"] - 1000 * w["mass_g"] for w in self.sizes]
        self.net = self.pitch = self.roll = 0
        for part in case["parts"]:
            up, down = rho * part["volume_cm3"], 1000 * part["mass_g"]
            self.net += up - down
            self.pitch += up * part["volume_centre_mm"][0] - down * part["mass_centre_mm"][0]
            self.roll += up * part["volume_centre_mm"][1] - down * part["mass_centre_mm"][1]
        self.target = 1000 * case["target_net_gf"]
        self.counts = len(self.points) * len(self.sizes)
        self.kept = []
        self.seconds = 0.0

    def column(self, point, size):
        return point * len(self.sizes) + size

    def solve(self, objective):
        model = highspy.Highs()
        for option, value in (
            ("output_flag", False), ("threads", 1), ("random_seed", 1), ("time_limit", 3600.0),
            ("mip_rel_gap", 0.0), ("mip_abs_gap", 1e-9),
            ("mip_feasibility_tolerance", 1e-9), ("primal_feasibility_tolerance", 1e-9),
        ):
            model.setOptionValue(option, value)
        inf = highspy.kHighsInf
        for point in self.points:
            for size in self.sizes:
                model.addVar(0.0, float(min(point["capacity"], size["stock"])))
        for size in self.sizes:
            model.addVar(0.0, float(size["stock"]))
        for _ in range(3):
            model.addVar(0.0, inf)
        for column in range(self.counts + len(self.sizes)):
            model.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        for column, cost in objective.items():
            model.changeColCost(column, cost)

        def row(low, high, terms):
            index = np.array(list(terms), dtype=np.int32)
            model.addRow(low, high, len(terms), index, np.array(list(terms.values()), dtype=float))

        for p, point in enumerate(self.points):
            row(-inf, point["capacity"], {self.column(p, s): 1.0 for s in range(len(self.sizes))})
        for s in range(len(self.sizes)):
            used = {self.column(p, s): 1.0 for p in range(len(self.points))}
            row(0.0, 0.0, {**used, self.counts + s: -1.0})
        net = {self.counts + s: f / 1000.0 for s, f in enumerate(self.force)}
        moment = [
            {self.column(p, s): f / 1000.0 * point["position_mm"][axis]
             for p, point in enumerate(self.points) for s, f in enumerate(self.force)}
            for axis in (0, 1)
        ]
        for terms, base, absolute in (
            (net, (self.net - self.target) / 1000.0, self.size(0)),
            (moment[0], self.pitch / 1000.0, self.size(1)),
            (moment[1], self.roll / 1000.0, self.size(2)),
        ):
            row(-inf, -base, {**terms, absolute: -1.0})
            row(-inf, base, {**{c: -v for c, v in terms.items()}, absolute: -1.0})
        for most, terms in self.kept:
            row(-inf, most, terms)
        start = time.perf_counter()
        model.run()
        self.seconds += time.perf_counter() - start
        if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise SystemExit(f"HiGHS ended with {model.getModelStatus()}")
        values = model.getSolution().col_value
        return [round(v) for v in values[:self.counts]]

    def size(self, which):
        """Column of |net - target|, |pitch|, |roll|."""
        return self.counts + len(self.sizes) + which

    def judge(self, counts):
        net, pitch, roll, mass = self.net, self.pitch, self.roll, 0
        for p, point in enumerate(self.points):
            for s, size in enumerate(self.sizes):
                n = counts[self.column(p, s)]
                net += n * self.force[s]
                pitch += n * self.force[s] * point["position_mm"][0]
                roll += n * self.force[s] * point["position_mm"][1]
                mass += n * size["mass_g"]
        return abs(net - self.target), abs(pitch) + abs(roll), mass


def main(cases_file, out_file):
    with open(cases_file, encoding="utf-8") as f:
        cases = json.load(f)["cases"]
    with open(out_file, "w", newline="", encoding="utf-8") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["id", "points", "total_s"])
        for case in cases:
            program = Program(case)
            net = {program.size(0): 1.0}
            off, _, _ = program.judge(program.solve(net))
            program.kept.append(((off + 0.4) / 1000.0, net))
            level = {program.size(1): 1.0, program.size(2): 1.0}
            _, tilt, _ = program.judge(program.solve(level))
            program.kept.append(((tilt + 0.4) / 1000.0, level))
            mass = {program.column(p, s): float(size["mass_g"])
                    for p in range(len(program.points)) for s, size in enumerate(program.sizes)}
            got = program.judge(program.solve(mass))
            want = case["optimum"]
            if got != (want["stage1_abs_net_minus_target_mgf"], want["stage2_abs_pitch_plus_abs_roll_mgf_mm"],
                       want["stage3_added_mass_g"]):
                raise SystemExit(f"case {case['id']}: {got} is not the optimum of the file")
            out.writerow([case["id"], len(case["points"]), repr(program.seconds)])
            f.flush()
            print(case["id"], len(case["points"]), round(program.seconds, 3), flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:3])
