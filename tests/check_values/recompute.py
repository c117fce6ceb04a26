"""Computes rows of check_values.csv anew with SciPy and prints them as JSON: {"versions": {...}, "rows": {id: {...}}}.

Only keys that SciPy itself has a word on are given. Read by tests/check_values/scipy.rs.
"""

import csv
import json
import sys
from itertools import combinations
from math import comb

import numpy
import scipy
from scipy import stats


def series(x, y):
    """Slope with the intervals of theilslopes, tau-b and the exact p of kendalltau where no values are tied."""
    out = {}
    for name, confidence in (("ci90", 0.90), ("ci95", 0.95)):
        found = stats.theilslopes(y, x, alpha=confidence)
        out["slope"], out["intercept_median"] = found[0], found[1]
        out[f"{name}_scipy"] = [found[2], found[3]]
    tau = stats.kendalltau(x, y, variant="b")
    if not numpy.isnan(tau.statistic):
        out["tau_b"] = tau.statistic
    if len(set(y)) == len(y) and len(set(x)) == len(x) and len(y) <= 33:
        out["p_exact"] = stats.kendalltau(x, y, method="exact").pvalue
        out["tau"] = tau.statistic
    out["S"] = int(sum(numpy.sign(y[j] - y[i]) for i, j in combinations(range(len(y)), 2)))
    return out


def upper_tail(n):
    """P(S >= s) for every s >= 0, from the two-sided exact p of kendalltau for an order that has this S."""
    pairs = comb(n, 2)
    out = {}
    for swaps in range(pairs // 2 + 1):
        # An order with so many inversions: each place takes the value that has so many smaller ones after it.
        rest, order, left = list(range(n)), [], swaps
        for at in range(n):
            jumps = min(left, n - 1 - at)
            order.append(rest.pop(jumps))
            left -= jumps
        s = pairs - 2 * swaps
        p = stats.kendalltau(range(n), order, method="exact").pvalue
        if s > 0:
            out[str(s)] = p / 2
    return out


def step(before, after):
    return {
        "hodges_lehmann_shift": float(numpy.median([a - b for a in after for b in before])),
        "mann_whitney_exact_p": stats.mannwhitneyu(before, after, method="exact").pvalue,
    }


def recomputed(row):
    given = json.loads(row["inputs(json)"])
    match row["topic"]:
        case "stat/theil_sen_mann_kendall":
            return series(given["x"], given["y"])
        case "stat/mk_null_upper_tail":
            return upper_tail(given["n"])
        case "stat/step_change_level" if len(set(given["before"] + given["after"])) == len(
            given["before"] + given["after"]
        ):
            return step(given["before"], given["after"])
        case "noise/critical_difference_abs" | "noise/critical_difference_between_labs_ph":
            return {"z": stats.norm.isf(0.025)}
    return None


rows = {}
with open(sys.argv[1], newline="", encoding="utf-8") as table:
    for row in csv.DictReader(table):
        found = recomputed(row)
        if found is not None:
            rows[row["id"]] = found
versions = {"python": sys.version.split()[0], "scipy": scipy.__version__, "numpy": numpy.__version__}
print(json.dumps({"versions": versions, "rows": rows}))
