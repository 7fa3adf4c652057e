"""Order and place against what they would pass for: sums by hand, and what is refused before it is cooked."""

import numpy as np
import pytest

from proofpan.science.versions import VersionSpace, aliases

SPACE = VersionSpace(("fat",), (("butter", "oil"),), [[0], [1]])


def difference(order, day_effect):
    """B less A, by means, where nothing but the day matters."""
    a = [day_effect(d) for d, o in enumerate(order) if o == "A"]
    b = [day_effect(d) for d, o in enumerate(order) if o == "B"]
    return np.mean(b) - np.mean(a)


@pytest.mark.parametrize(("order", "seen"), [("AABB", 2.0), ("ABAB", 1.0), ("ABBA", 0.0)])
def test_a_drift_passes_for_the_option_in_aabb_and_not_in_abba(order, seen):
    # steady drift δ = 0.7 a day: means of days (2, 3) − (0, 1) = 2δ; (1, 3) − (0, 2) = δ; (1, 2) − (0, 3) = 0
    assert difference(order, lambda d: 0.7 * d) == pytest.approx(seen * 0.7)


def test_a_shelf_tied_to_the_option_is_refused_and_crossed_over_four_loads_gives_its_own_1_2():
    # upper shelf + 1.2 and nothing else: tied, the option's difference is the shelf's, and it is named before cooking
    tied, shelf = np.array([0, 0, 1, 1] * 4), np.array([0, 0, 1, 1] * 4)
    assert [a.what for a in aliases(SPACE, tied, tray=shelf)] == ["tray"]
    # crossed over four loads: butter above in loads 1 and 4, oil above in 2 and 3
    crossed = np.concatenate([[0, 0, 1, 1], [1, 1, 0, 0], [1, 1, 0, 0], [0, 0, 1, 1]])
    assert aliases(SPACE, crossed, tray=shelf, load=np.repeat(np.arange(4), 4), day=np.repeat(np.arange(4), 4)) == ()
    score = 6 + 1.2 * (shelf == 0) + np.random.default_rng(3).normal(0, 0.3, 16)
    x = np.column_stack([np.ones(16), shelf == 0, crossed]).astype(float)
    beta, rest, *_ = np.linalg.lstsq(x, score, rcond=None)  # ordinary least squares, by numpy
    error = np.sqrt(rest[0] / 13 * np.diag(np.linalg.inv(x.T @ x)))
    assert beta[1] == pytest.approx(1.2, abs=2.16 * error[1]) and abs(beta[2]) < 2.16 * error[2]  # t(13) at 97.5 %: 2.160
