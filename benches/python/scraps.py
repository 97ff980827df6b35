"""The least stock for a problem of scraps, by a general MILP solver: HiGHS, through scipy.

    scraps.py < problem.json

The problem says what is needed, how long bars can be, and how scraps can be ripped:

    {"needs": [{"slices": 900, "parts": [3, 0]}], "lengths": [40, 32],
     "ways": [{"scrap": 0, "slices": 40, "strips": 13, "part": 0, "area": 321600}]}

The model is the plain one: each way is taken or not, no scrap twice; bars of each length, with all
slices of each need; for each part and length, strips that are at least so long for the bars that are
at least so long. Prints the optimum and the seconds that the solver alone took, on one line.
"""

import json
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array


class Rows:
    """Rows of a constraint, as they are added."""

    def __init__(self):
        self.terms, self.least, self.most = [], [], []

    def add(self, terms, least, most):
        row = len(self.least)
        self.terms.extend((row, column, factor) for column, factor in terms)
        self.least.append(least)
        self.most.append(most)

    def constraint(self, columns):
        row, column, factor = zip(*self.terms)
        shape = (len(self.least), columns)
        matrix = coo_array((factor, (row, column)), shape=shape)
        return LinearConstraint(matrix.tocsr(), self.least, self.most)


def model(problem):
    """Costs, constraint and bounds; ways come first, then the bars of each need."""
    ways, needs, lengths = problem["ways"], problem["needs"], problem["lengths"]
    columns = len(ways) + len(needs) * len(lengths)
    bars = [
        [len(ways) + i * len(lengths) + j for j in range(len(lengths))] for i in range(len(needs))
    ]
    costs, most = np.zeros(columns), np.ones(columns)
    rows, scraps = Rows(), {}
    for i, way in enumerate(ways):
        costs[i] = way["area"]
        scraps.setdefault(way["scrap"], []).append(i)
    for of_scrap in scraps.values():
        rows.add([(i, 1) for i in of_scrap], -np.inf, 1)
    for need, of_need in zip(needs, bars):
        most[of_need] = need["slices"]
        rows.add(list(zip(of_need, lengths)), need["slices"], np.inf)
    for part in range(len(needs[0]["parts"])):
        for shortest in lengths:
            strips = [
                (i, way["strips"])
                for i, way in enumerate(ways)
                if way["part"] == part and way["slices"] >= shortest
            ]
            used = [
                (bar, -need["parts"][part])
                for need, of_need in zip(needs, bars)
                for bar, length in zip(of_need, lengths)
                if length >= shortest and need["parts"][part] > 0
            ]
            rows.add(strips + used, 0, np.inf)
    return costs, rows.constraint(columns), Bounds(np.zeros(columns), most)


def main():
    costs, constraint, bounds = model(json.load(sys.stdin))
    begin = time.perf_counter()
    found = milp(
        costs,
        constraints=constraint,
        bounds=bounds,
        integrality=np.ones(len(costs)),
        options={"mip_rel_gap": 0},
    )
    seconds = time.perf_counter() - begin
    if found.status != 0:
        sys.exit(found.message)
    print(round(found.fun), seconds)


main()
