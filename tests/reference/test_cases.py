"""The project's own copies of the outside check values: every case that has an adapter passes; a sample a topic, the rest by `make reference`."""

import pytest

from tests.reference.adapters import AtLeast, AtMost, gather
from tests.reference.run import HERE, check, differs, read

CASES = HERE / "cases"
SLOW = {"daywork"}


def sample():
    """Every fifth case of each topic, and all of the small ones."""
    by_topic = {}
    for file, case in read(CASES):
        by_topic.setdefault(case["topic"], []).append((file.parent, case))
    for topic, cases in by_topic.items():
        if topic not in SLOW:
            yield from cases[:: 5 if len(cases) > 40 else 1]


ADAPTERS = gather()


@pytest.mark.parametrize("folder, case", sample(), ids=lambda x: x["id"] if isinstance(x, dict) else "")
def test_a_reference_case_passes(folder, case):
    assert check(case, ADAPTERS, folder) in ("pass", "without adapter")


def test_the_comparison_can_fail():
    """A guard on the guard."""
    assert differs(1.1, 1.0, {"abs": 0.05}) and differs({"a": 1}, {"b": 1}, {}) and differs([1, 2], [1], {"abs": 9})
    assert differs("x", "y", {}) and differs(None, 1.0, {"abs": 9}) and differs(True, False, {})
    assert differs(AtLeast(0.9), 1.0, {"abs": 0}) and not differs(AtMost(0.9), 1.0, {"abs": 0})
    assert not differs({"a": 1.02, "b": 5}, {"a": 1.0}, {"keys": {"a": {"abs": 0.05}}, "abs": 0})
