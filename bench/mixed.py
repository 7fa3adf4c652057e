"""CPU time of a mixed model with its degrees of freedom and all pairwise differences, beside statsmodels' crossed MixedLM.

    OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 .venv/bin/python bench/mixed.py [--skip-peer-at 100]

Tasters score every version twice: score ~ version, random intercepts of taster and taster × version. Both programs fit the
same rows in the same run on one thread; the estimates are compared first, then timed (CPU seconds, best of three of ours,
one run of the peer, which has no degrees of freedom and no pairwise differences to give). Ours includes reading the
columns.
"""

import argparse
import time
import warnings

import numpy as np
import pandas as pd
import statsmodels.formula.api as smf

from proofpan.science import mixed

GOALS = {(12, 4, 2, 1): 5, (12, 8, 2, 5): 50, (100, 6, 2, 1): 100}


def scores(tasters, versions, times, attributes, seed=7):
    """Made-up scores, one column an attribute."""
    random = np.random.default_rng(seed)
    t, v, _ = (a.ravel() for a in np.meshgrid(range(tasters), range(versions), range(times), indexing="ij"))
    columns = {"taster": [f"T{i}" for i in t], "version": [f"V{i}" for i in v]}
    for a in range(attributes):
        person, taste = random.normal(0, 1.0, tasters)[t], random.normal(0, 0.7, (tasters, versions))[t, v]
        columns[f"a{a}"] = (5 + 0.3 * v + person + taste + random.normal(0, 1.0, len(t))).tolist()
    return columns


def ours(columns, attribute, versions):
    """The fit, its coefficients' degrees of freedom and all pairwise differences."""
    levels = {"version": tuple(f"V{i}" for i in range(versions))}
    fit = mixed.fit_reml(columns, mixed.Model(attribute, ("version",), levels, random=("taster", "taster:version")))
    return fit, mixed.coefficients(fit), mixed.pairwise(fit, "version")


def peer(frame, attribute):
    """The same model with all rows as one group and two variance components, the peer's way to cross effects."""
    parts = {"taster": "0 + C(taster)", "both": "0 + C(taster):C(version)"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = smf.mixedlm(f"{attribute} ~ version", frame, groups=np.ones(len(frame)), vc_formula=parts, use_sparse=True)
        return model.fit(reml=True)


def cpu(job):
    """CPU seconds of a job, and what it returned."""
    start = time.process_time()
    found = job()
    return time.process_time() - start, found


def run(tasters, versions, times, attributes, with_peer):
    """One line of the table."""
    columns = scores(tasters, versions, times, attributes)
    names = [f"a{a}" for a in range(attributes)]
    runs = [cpu(lambda: [ours(columns, name, versions) for name in names]) for _ in range(4)][1:]
    seconds, fits = min(runs, key=lambda r: r[0])
    line = f"{tasters} tasters × {versions} versions × {times}, {attributes} attribute(s): ours {seconds * 1e3:.0f} ms"
    if not with_peer:
        print(line, flush=True)
        return
    frame = pd.DataFrame(columns)
    theirs, found = cpu(lambda: [peer(frame, name) for name in names])
    short = 0.0
    for (fit, _, _), other in zip(fits, found, strict=True):
        gap = np.abs(other.fe_params.to_numpy() - fit.beta).max()
        assert gap < 1e-3, f"coefficients differ by {gap}"  # balanced: they don't depend on the variances
        assert fit.loglik_reml > other.llf - 1e-6, (fit.loglik_reml, other.llf)
        short = max(short, fit.loglik_reml - other.llf)
    ratio, goal = theirs / seconds, GOALS.get((tasters, versions, times, attributes))
    said = f", goal {goal}×: {'met' if ratio >= goal else 'NOT met'}" if goal else ""
    print(
        f"{line}, peer {theirs:.2f} s, ratio {ratio:.0f}×{said}; peer's log-likelihood lower by up to {short:.1e}",
        flush=True,
    )


def main():
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--skip-peer-at", type=int, default=10**9, help="leave the peer out from this many tasters")
    options = parser.parse_args()
    run(4, 3, 2, 1, True)  # warms both up
    for shape in [*GOALS, (1000, 6, 2, 1)]:
        run(*shape, with_peer=shape[0] < min(options.skip_peer_at, 1000))


if __name__ == "__main__":
    main()
