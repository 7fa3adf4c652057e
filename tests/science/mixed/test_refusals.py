"""What can't be used is refused in one sentence that says what and where."""

import numpy as np
import pytest

from proofpan.science import mixed
from tests.science.mixed.kitchens import stated, tasting

COLUMNS = tasting(1)
ROWS = len(COLUMNS["score"])
FIT = mixed.fit_reml(COLUMNS, stated())
GAPS = mixed.fit_reml(
    {name: [v for v, keep in zip(values, [not (a == "V2" and b == "late") for a, b in zip(
        COLUMNS["version"], COLUMNS["half"], strict=True)], strict=True) if keep] for name, values in COLUMNS.items()},
    stated(fixed=("version", "half", "version:half")),
)  # fmt: skip


def fit(columns=None, **model):
    return mixed.fit_reml({**COLUMNS, **(columns or {})}, stated(**model))


REFUSED = {
    "an unknown column": (lambda: fit(random=("cook",)), "'cook'"),
    "an unknown level": (lambda: fit({"version": ["V9"] * ROWS}), "'V9'"),
    "a word for a number": (lambda: fit({"score": ["good"] * ROWS}), "'good'"),
    "no response at all": (lambda: fit({"score": [""] * ROWS}), "no row"),
    "columns of two lengths": (lambda: fit({"taster": ["T1"]}), "'taster'"),
    "one group": (lambda: fit({"taster": ["T1"] * ROWS}), "'taster'"),
    "a group for each row": (lambda: fit({"taster": list(range(ROWS))}, random=("taster",)), "'taster'"),
    "a term twice": (lambda: fit(random=("taster", "taster")), "twice"),
    "two terms with the same groups": (lambda: fit({"cook": COLUMNS["taster"]}, random=("taster", "cook")), "'cook'"),
    "a trial for each version": (lambda: fit({"trial": COLUMNS["version"]}, random=("taster", "trial")), "'trial'"),
    "a constant response": (lambda: fit({"score": [5.0] * ROWS}), "no residual"),
    "rows of a group exactly alike": (
        lambda: fit({"score": np.unique(COLUMNS["taster"], return_inverse=True)[1] ** 2.0}, fixed=(), random=("taster",)),
        "alike"),
    "fewer rows than coefficients": (
        lambda: mixed.fit_reml({k: v[:2] for k, v in COLUMNS.items()}, stated(random=(), fixed=("days",))), "2 complete rows"),
    "a coding nobody knows": (lambda: fit(coding="helmert"), "'helmert'"),
    "a factor without levels": (lambda: mixed.Model("score", ("fat",)), "'fat'"),
    "a factor of one level": (lambda: mixed.Model("score", ("fat",), {"fat": ("butter",)}), "'fat'"),
    "a cell that isn't there": (lambda: mixed.contrast(FIT, ["version"], {"V7": 1}), "'V7'"),
    "weights of nothing": (lambda: mixed.contrast(FIT, ["version"], {"V1": 0}), "nothing"),
    "means over a column that isn't a factor": (lambda: mixed.marginal_means(FIT, ["days"]), "'days'"),
    "a control that isn't a level": (lambda: mixed.against_control(FIT, "version", "V9"), "'V9'"),
    "an unknown adjustment": (lambda: mixed.pairwise(FIT, "version", "scheffe"), "'scheffe'"),
    "an unknown kind of df": (lambda: mixed.coefficients(FIT, "exact"), "'exact'"),
    "a level in percent": (lambda: mixed.coefficients(FIT, level=95), "0.95"),
    "a worth of nothing": (lambda: mixed.equivalence(FIT, ["version"], {"V0": 1, "V1": -1}, 0), "above 0"),
    "a mean of an empty cell": (lambda: mixed.marginal_means(GAPS, ["version", "half"]), "V2:late"),
    "whole-term tests with an empty cell": (lambda: mixed.anova(GAPS), "half"),
    "a range of one": (lambda: mixed.studentized_range_critical(1, 10, 0.05), "groups"),
    "no degrees of freedom": (lambda: mixed.dunnett_critical(3, 0, 0.05), "above 0"),
    "alpha in percent": (lambda: mixed.dunnett_critical(3, 10, 5), "0.05"),
}  # fmt: skip


@pytest.mark.parametrize("call, words", REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused_in_one_sentence(call, words):
    with pytest.raises(mixed.MixedError) as caught:
        call()
    said = str(caught.value)
    assert words in said
    assert len(said) <= 300 and "\n" not in said


def test_an_empty_cell_leaves_the_means_that_have_data():
    assert GAPS.dropped == ("version[V2]:half[late]",)
    early = mixed.contrast(GAPS, ["version", "half"], {"V0:early": 1, "V2:early": -1})
    assert np.isfinite(early.se)


def test_what_cant_be_told_apart_is_left_out_and_named():
    columns = {**COLUMNS, "trial": COLUMNS["version"], "cook": ["C"] * ROWS, "plate": list(range(ROWS))}
    found = mixed.fit_what_can_be_told(columns, stated(random=("taster", "cook", "plate", "trial", "taster:version")))
    assert [term for term, _ in found.left_out] == ["cook", "plate", "trial"]
    assert "each group of 'trial'" in found.left_out[2][1]
    assert found.fit.variances == FIT.variances


def test_a_model_that_can_be_fitted_is_fitted_as_stated():
    assert mixed.fit_what_can_be_told(COLUMNS, stated()).left_out == ()
    with pytest.raises(mixed.MixedError, match="'hob'"):
        mixed.fit_what_can_be_told(COLUMNS, stated(random=("hob",)))


def test_slopes_that_cant_be_told_are_left_out_too():
    slopes = (mixed.RandomSlopes("cook", ("days",)),)
    found = mixed.fit_what_can_be_told({**COLUMNS, "cook": ["C"] * ROWS}, stated(random=("taster",), random_slopes=slopes))
    assert [term for term, _ in found.left_out] == ["cook"]
    assert set(found.fit.variances) == {"taster", "residual"}
