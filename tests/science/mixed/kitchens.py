"""Made-up tastings (fixed seeds) and small open data sets used by the tests of this folder."""

import numpy as np

from proofpan.science import mixed

# Davies & Goldsmith 1972, Statistical Methods in Research and Production, table 6.2: yield of dyestuff, grams
DYESTUFF = {
    "A": (1545, 1440, 1440, 1520, 1580),
    "B": (1540, 1555, 1490, 1560, 1495),
    "C": (1595, 1550, 1605, 1510, 1560),
    "D": (1445, 1440, 1595, 1465, 1545),
    "E": (1595, 1630, 1515, 1635, 1625),
    "F": (1520, 1455, 1450, 1480, 1445),
}
# Box, Hunter & Hunter 1978, Statistics for Experimenters, p. 100: wear of two sole materials on ten boys' shoes
SHOES_A = (13.2, 8.2, 10.9, 14.3, 10.7, 6.6, 9.5, 10.8, 8.8, 13.3)
SHOES_B = (14.0, 8.8, 11.2, 14.2, 11.8, 6.4, 9.8, 11.3, 9.3, 13.6)


def tasting(seed=1, tasters=8, versions=3, times=2, keep=1.0, sds=(1.0, 0.5, 1.0), shift=0.3):
    """Scores of every version by every taster, some rows dropped; columns as text but the score."""
    random = np.random.default_rng(seed)
    t, v, k = (a.ravel() for a in np.meshgrid(range(tasters), range(versions), range(times), indexing="ij"))
    score = 5 + shift * v + random.normal(0, sds[0], tasters)[t] + random.normal(0, sds[1], (tasters, versions))[t, v]
    score = score + random.normal(0, sds[2], len(t))
    rows = np.flatnonzero(random.random(len(t)) < keep)
    return {
        "taster": [f"T{t[i]}" for i in rows],
        "version": [f"V{v[i]}" for i in rows],
        "half": ["early" if k[i] % 2 else "late" for i in rows],
        "days": random.integers(0, 9, len(rows)).astype(float),
        "score": score[rows],
    }


def stated(versions=3, fixed=("version",), random=("taster", "taster:version"), **more):
    """The model of such a tasting."""
    levels = {"version": tuple(f"V{i}" for i in range(versions)), "half": ("early", "late")}
    return mixed.Model("score", fixed, levels, ("days",), random=random, **more)
