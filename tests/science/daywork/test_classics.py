"""Textbook instances: proven optima as published."""

import pytest

from proofpan.science.daywork import DayworkError, critical_path_length, job_shop_makespan, resource_constrained_makespan

# Fisher & Thompson 1963, instance ft06 (OR-Library job-shop set): makespan 55
FT06 = [
    [[2, 1], [0, 3], [1, 6], [3, 7], [5, 3], [4, 6]],
    [[1, 8], [2, 5], [4, 10], [5, 10], [0, 10], [3, 4]],
    [[2, 5], [3, 4], [5, 8], [0, 9], [1, 1], [4, 7]],
    [[1, 5], [0, 5], [2, 5], [3, 3], [4, 8], [5, 9]],
    [[2, 9], [1, 3], [4, 5], [5, 4], [0, 3], [3, 1]],
    [[1, 3], [3, 3], [5, 9], [0, 10], [4, 4], [2, 1]],
]


def test_ft06_takes_55():
    assert job_shop_makespan(FT06, seconds=30) == 55


def test_a_project_without_shortage_takes_its_critical_path():
    durations, successors = [0, 3, 4, 2, 0], [[1, 2], [3], [4], [4], []]
    assert critical_path_length(durations, successors) == 5
    assert resource_constrained_makespan(durations, successors, [[0], [1], [1], [1], [0]], [2]) == 5
    assert resource_constrained_makespan(durations, successors, [[0], [1], [1], [1], [0]], [1]) == 9


def test_circles_and_impossible_demands_are_refused():
    with pytest.raises(DayworkError, match="circle"):
        critical_path_length([1, 1], [[1], [0]])
    with pytest.raises(DayworkError, match="more of resource 0"):
        resource_constrained_makespan([1], [[]], [[3]], [2])
