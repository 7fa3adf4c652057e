"""Means and differences within tasters, against Student's own example and a general library."""

import numpy as np
import pytest
from scipy import stats

from proofpan.science.panels import PanelError, mean_score, paired_difference

# hours of sleep gained under two drugs, ten patients: Student (1908), Biometrika 6, 1-25, section IX
FIRST = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SECOND = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def test_students_sleep_data():  # mean difference 1.58, odds of luck .0028 two-sided: Student (1908); Fisher (1925), table 27
    found = paired_difference(SECOND, FIRST)
    assert found.difference == pytest.approx(1.58)
    assert found.p == pytest.approx(0.00283, abs=5e-5)


def test_the_interval_is_a_general_librarys():
    found = paired_difference(SECOND, FIRST, 0.9)
    low, high = stats.ttest_rel(SECOND, FIRST).confidence_interval(0.9)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    one = mean_score(FIRST)
    assert (one.low, one.high) == pytest.approx(stats.t.interval(0.95, 9, np.mean(FIRST), stats.sem(FIRST)))


def test_one_taster_and_marks_exactly_alike_have_no_interval():
    assert paired_difference([3], [1]).low is None
    assert paired_difference([3, 4], [2, 3]).p is None
    assert mean_score([3]).low is None


@pytest.mark.parametrize("bad", [([1, 2], [1]), ([], []), ([1, np.nan], [1, 2])])
def test_what_is_no_list_of_the_same_tasters_is_refused(bad):
    with pytest.raises(PanelError):
        paired_difference(*bad)
