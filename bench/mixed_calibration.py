"""How often a true statement is called false: type-I error, coverage, Tukey's familywise error, the size of TOST.

    OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 .venv/bin/python bench/mixed_calibration.py [--kitchens 2000]

Made-up kitchens in which nothing differs (for TOST: one pair differs by exactly the worth), over four layouts and three
sizes of the random effects, zero among them. Every share should be 5 % (coverage 95 %) within its simulation error; where
a variance is estimated as zero the tests are known to be careful (Kackar & Harville 1984; Satterthwaite on few groups).
"""

import argparse
import math

import numpy as np
from scipy.special import stdtr

from proofpan.science import mixed

SPREADS = {"none": (0.0, 0.0), "middling": (0.7, 0.5), "large": (2.0, 1.0)}


def crossed(random, spread, keep=1.0):
    """Six tasters, four versions, twice; rows dropped at random."""
    t, v, _ = (a.ravel() for a in np.meshgrid(range(6), range(4), range(2), indexing="ij"))
    y = random.normal(0, spread[0], 6)[t] + random.normal(0, spread[1], (6, 4))[t, v] + random.normal(0, 1, len(t))
    rows = np.flatnonzero(random.random(len(t)) < keep)
    return {"taster": t[rows], "version": v[rows], "y": y[rows]}, ("taster", "taster:version"), 4


def patchy(random, spread):
    """The same with three rows in ten missing."""
    return crossed(random, spread, 0.7)


def split_plot(random, spread):
    """Three settings of the oven, four loads each, two trays a load: the version belongs to the load."""
    load, _ = (a.ravel() for a in np.meshgrid(range(12), range(2), indexing="ij"))
    y = random.normal(0, spread[0], 12)[load] + random.normal(0, 1, len(load))
    return {"load": load, "version": load % 3, "y": y}, ("load",), 3


def two_tasters(random, spread):
    """Two tasters, three versions made three times each, every plate tasted by both."""
    t, v, k = (a.ravel() for a in np.meshgrid(range(2), range(3), range(3), indexing="ij"))
    trial = v * 3 + k
    y = random.normal(0, spread[0], 2)[t] + random.normal(0, spread[1], 9)[trial] + random.normal(0, 1, len(t))
    return {"taster": t, "trial": trial, "version": v, "y": y}, ("taster", "trial"), 3


def one(columns, groups, versions):
    """What one kitchen would have concluded."""
    levels = {"version": tuple(str(i) for i in range(versions))}
    fit = mixed.fit_reml(columns, mixed.Model("y", ("version",), levels, random=groups))
    (satterthwaite,), (roger,) = mixed.anova(fit), mixed.anova(fit, "kenward_roger")
    first = mixed.pairwise(fit, "version", "none")[0]
    worth = 1.0  # were the first version better by exactly this, every t would move by worth / se
    p_lower = float(stdtr(first.df, -(first.t + 2 * worth / first.se)))
    p_upper = float(stdtr(first.df, first.t))
    return (
        satterthwaite.p < 0.05,
        roger.p < 0.05,
        first.low <= 0 <= first.high,
        min(each.p for each in mixed.pairwise(fit, "version")) < 0.05,
        max(p_lower, p_upper) <= 0.05,
    )


def main():
    """Print a line a layout and spread."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kitchens", type=int, default=2000)
    kitchens = parser.parse_args().kitchens
    error = 100 * math.sqrt(0.05 * 0.95 / kitchens)
    print(f"{kitchens} kitchens a line; simulation error ± {2 * error:.1f} points (2 se)")
    print("layout, spread: type I Satterthwaite, type I Kenward–Roger, coverage, familywise Tukey, size of TOST")
    for layout in (crossed, patchy, split_plot, two_tasters):
        for name, spread in SPREADS.items():
            random = np.random.default_rng(20)
            shares = 100 * np.mean([one(*layout(random, spread)) for _ in range(kitchens)], axis=0)
            print(f"{layout.__name__}, {name}: " + ", ".join(f"{share:.1f}" for share in shares), flush=True)


if __name__ == "__main__":
    main()
