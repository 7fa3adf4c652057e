"""Scores that count for less: the same as writing every part of their own scatter larger, by hand."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from proofpan.science.versions import VersionsError, VersionSpace, contrast, fit, make_scores
from proofpan.science.versions.design import make_design, spread_names
from proofpan.science.versions.engine import solve
from proofpan.science.versions.fit import Table
from proofpan.science.versions.prior import Prior

SPACE = VersionSpace(("fat",), (("oil", "butter"),), np.array([[0], [1]]), (None,), (True,))


def scores(weight=None, repeats=1):
    rows = [(v, t, 5.0 + 1.5 * v + 0.3 * t + 0.4 * r) for r in range(repeats) for v in (0, 1) for t in (0, 1)]
    version = [v for v, _, _ in rows]
    trial = [2 * (i // 4) + v for i, v in enumerate(version)]
    return make_scores(version, [y for *_, y in rows], taster=[t for _, t, _ in rows], trial=trial, load=[i // 4 for i in range(len(rows))], weight=weight)


@pytest.mark.parametrize("repeats", [1, 2])
def test_the_evidence_is_the_normal_density_with_each_older_mark_scattering_more(repeats):
    # a power prior on normal scores (Ibrahim & Chen, Statistical Science 15, 2000): variance over the weight; here as one dense matrix
    n = 4 * repeats
    weight = np.where(np.arange(n) < 4, 0.25, 1.0)
    s = scores(weight, repeats)
    design = make_design(SPACE, s)
    table = Table(design, Prior(), 1.0)
    z = np.zeros((1, len(table.coords)))
    settings = table.settings(z)
    found = solve(design, settings, table.mean, table.mean_sd, inverse=False).log_evidence[0]
    c = design.scores
    sd = dict(zip(spread_names(SPACE), settings.spreads[0], strict=True))
    same = lambda a: (a[:, None] == a[None, :]).astype(float)  # noqa: E731
    main = SPACE.centred[0][c.version]
    more = 1 / c.weight
    cov = sd["main_0"] ** 2 * main @ main.T + table.mean_sd**2 + sd["load"] ** 2 * same(c.load) + sd["taster"] ** 2 * same(c.taster)
    cov += same(c.trial) * (sd["trial"] ** 2 * more[:, None] + 1e-6)
    cov += sd["taster_version"] ** 2 * same(c.taster) * same(c.version) + np.diag(sd["noise"] ** 2 * more + sd["taster_version"] ** 2 * (more - 1))
    assert found == pytest.approx(multivariate_normal.logpdf(c.score, np.full(n, table.mean), cov), abs=1e-6)


def test_less_weight_widens_and_next_to_none_is_as_if_never_tasted():
    w = np.array([-1.0, 1.0])
    widths = [contrast(fit(SPACE, scores(np.full(4, weight))), w).sd for weight in (1.0, 0.5, 0.1, 1e-3)]
    assert widths == sorted(widths) and widths[-1] == pytest.approx(contrast(fit(SPACE), w).sd, rel=0.06)
    assert contrast(fit(SPACE, scores(np.ones(4))), w).sd == contrast(fit(SPACE, scores()), w).sd


def test_a_weight_is_above_nothing_and_at_most_one():
    for bad in (0.0, 1.2, -1.0):
        with pytest.raises(VersionsError, match="above 0"):
            scores([1, 1, 1, bad])
