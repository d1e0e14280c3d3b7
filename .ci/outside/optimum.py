"""The choice of spare types solved again with HiGHS through scipy: `optimum.py DIR [SECONDS]`.

Each file of DIR is an instance with what the program found and its bound. The optimum of HiGHS must lie between
the bound and the cost, and the cost within the printed gap of it.

    min sum price_j * s * w_js      s.t.  every class in one pool; load of a pool <= M_s of its stock
"""

import glob
import os
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix
from scipy.stats import chi2


def read(path):
    rates, kinds, level, found = [], [], None, None
    for line in open(path, encoding="utf-8"):
        part = line.rstrip("\n").split(",")
        if part[0] == "level":
            level = float(part[1])
        elif part[0] == "found":
            found = (float(part[1]), float(part[2]))
        elif part[0] == "class":
            rates.append(float(part[2]))
        else:
            serves = [int(c) for c in part[4].split()]
            kinds.append((float(part[2]), float(part[3]), serves))
    return rates, kinds, level, found


def solve(rates, kinds, level, seconds):
    cap = lambda s: 0.5 * chi2.ppf(1 - level, 2 * (s + 1))
    cost, rows, cols, vals, low, high = [], [], [], [], [], []
    at = 0

    def var(price):
        cost.append(price)
        return len(cost) - 1

    def row(terms, lo, hi):
        nonlocal at
        for col, value in terms:
            rows.append(at)
            cols.append(col)
            vals.append(value)
        low.append(lo)
        high.append(hi)
        at += 1

    of_class = [[] for _ in rates]
    for price, lead, serves in kinds:
        total = sum(rates[c] for c in serves) * lead
        stocks, s = [], 1
        while True:
            stocks.append((s, cap(s), var(price * s)))
            if stocks[-1][1] >= total:
                break
            s += 1
        row([(v, 1) for _, _, v in stocks], -np.inf, 1)
        load = []
        for c in serves:
            y = var(0.0)
            of_class[c].append(y)
            load.append((y, rates[c] * lead))
            fits = [(v, -1) for _, m, v in stocks if m >= rates[c] * lead]
            row([(y, 1)] + fits, -np.inf, 0)
        row(load + [(v, -m) for _, m, v in stocks], -np.inf, 0)
    for own in of_class:
        row([(y, 1) for y in own], 1, 1)
    matrix = csr_matrix((vals, (rows, cols)), shape=(at, len(cost)))
    done = milp(
        np.array(cost),
        constraints=LinearConstraint(matrix, low, high),
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 1e-6, "time_limit": seconds},
    )
    return (done.fun if done.x is not None else np.inf), done.mip_dual_bound, done.status == 0


def main():
    folder, seconds = sys.argv[1], float(sys.argv[2]) if len(sys.argv) > 2 else 20
    files = sorted(glob.glob(os.path.join(folder, "*.csv")))
    assert files, f"no instance in {folder}"
    worst, proven = 0.0, 0
    for path in files:
        rates, kinds, level, (cost, bound) = read(path)
        best, dual, optimal = solve(rates, kinds, level, seconds)
        proven += optimal
        name = os.path.basename(path)
        # The program's costs are whole cents.
        assert bound <= best + 0.02, f"{name}: bound {bound} above {best}"
        assert cost >= dual - 0.02, f"{name}: cost {cost} below {dual}"
        if optimal:
            above = cost / best - 1
            worst = max(worst, above)
            assert cost - best <= cost - bound + 0.02, f"{name}: {cost} is further from {best} than its gap says"
        if "-v" in sys.argv:
            print(f"{name}: {len(rates)} x {len(kinds)}: cost {cost:.2f}, bound {bound:.2f}, HiGHS {best:.2f} ({dual:.2f})")
    print(f"{len(files)} choices of spare types, {proven} proven by HiGHS: none below its bound, the worst {100 * worst:.2f} % above the optimum")


main()
