"""Type-I error and coverage by simulation, of the tests that aren't in mixed_calibration.py.

    OPENBLAS_NUM_THREADS=1 .venv/bin/python bench/statistics.py [--times 2000]

Nothing differs in the first rows (how often a test at 5 in 100 calls a difference); the last rows are how often a 95 % range
holds the truth. Ordinal fits are slower and are made a fifth as often.
"""

import argparse

import numpy as np
from scipy.stats import chi2

from proofpan.science import mixed, panels, pooling
from proofpan.science.mixed import ordinal

RNG = np.random.default_rng(2026)


def share(name, hits, want):
    """One line of the table, with two standard errors."""
    p = float(np.mean(hits))
    print(f"| {name} | {100 * p:.1f} ± {200 * np.sqrt(max(p * (1 - p), 1e-4) / len(hits)):.1f} | {want} |", flush=True)


def forced(method, n, times):
    """Whether p is at or below 0.05 when everybody guesses; at most 5, as much below it as the steps of the count are wide."""
    p = [panels.discrimination_test(method, k, n).p for k in range(n + 1)]
    return [p[k] <= 0.05 for k in RNG.binomial(n, panels.CHANCE[method], times)]


def ranks(tasters, samples, times, which):
    """Friedman's three p values on scores without difference."""
    return [getattr(panels.friedman(RNG.normal(size=(tasters, samples))), which) <= 0.05 for _ in range(times)]


def graded(times, tasters=8, per=8):
    """Likelihood ratio and Wald test of a factor without effect, marks in five grades, tasters apart by 1 on the logit scale."""
    ratio, wald = [], []
    codes, side = np.repeat(np.arange(tasters), per), np.tile(np.arange(per) % 2, tasters)
    columns = {"a": [f"v{s}" for s in side], "taster": [f"t{c}" for c in codes]}
    for _ in range(times):
        latent = RNG.normal(0, 1, tasters)[codes] + RNG.logistic(size=len(codes))
        grade = np.digitize(latent, (-2, -0.7, 0.7, 2))
        names = [str(g) for g in sorted(set(grade.tolist()))]
        data = {**columns, "grade": [str(g) for g in grade]}
        with_it = ordinal.fit_ordinal_mixed(data, mixed.Model("grade", ("a",), {"a": ("v0", "v1")}, random=("taster",)), names)
        without = ordinal.fit_ordinal_mixed(data, mixed.Model("grade", random=("taster",)), names)
        ratio.append(chi2.sf(2 * (with_it.loglik - without.loglik), 1) <= 0.05)
        wald.append(abs(with_it.coefficients["a[v1]"]) > 1.959964 * with_it.se["a[v1]"])
    return ratio, wald


def pooled(studies, spread, interval, times):
    """Whether the range of the mean effect holds the truth, studies of unlike size."""
    out = []
    for _ in range(times):
        variance = RNG.uniform(0.02, 0.4, studies)
        found = pooling.random_effects(RNG.normal(0.3, np.sqrt(variance + spread**2)), variance, "reml", interval)
        out.append(found.low <= 0.3 <= found.high)
    return out


def agreed(times):
    """Whether the range of ICC(2,1) holds the truth: plates 1, tasters 0.5, rest 1 as variances."""
    out = []
    for _ in range(times):
        scores = RNG.normal(0, 1, (10, 1)) + RNG.normal(0, np.sqrt(0.5), (1, 6)) + RNG.normal(0, 1, (10, 6))
        found = panels.intraclass_correlation(scores).random_judges
        out.append(found.low <= 1 / 2.5 <= found.high)
    return out


def main():
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=2000)
    times = parser.parse_args().times
    for method, n in (("triangle", 12), ("triangle", 36), ("duo-trio", 24), ("two-out-of-five", 20)):
        share(f"{method}, {n} answers, all guess", forced(method, n, 50 * times), "at most 5")
    for which, name in (("p_exact", "exact"), ("p", "χ²"), ("iman_davenport_p", "F")):
        share(f"Friedman, 6 tasters × 4, {name}", ranks(6, 4, times, which), "at most 5" if which == "p_exact" else 5)
    for values, name in zip(graded(times // 5), ("likelihood ratio", "Wald"), strict=True):
        share(f"graded marks, 8 tasters × 8, {name}", values, 5)
    for spread in (0.0, 0.4):
        for interval in ("normal", "hartung_knapp"):
            share(f"pooling 5 studies that differ by {spread}, {interval}", pooled(5, spread, interval, times), 95)
    share("ICC(2,1), 10 plates × 6 tasters", agreed(times), 95)


if __name__ == "__main__":
    main()
