"""A control made again for one who tastes alone, and a frozen slice only where freezing changes nothing (common practice, no source)."""

import pytest

import proofpan as pp
from proofpan.steps.quick import compare
from proofpan.steps.tying_days import control_of, freezing, with_control
from tests.kitchens import crackers


@pytest.mark.parametrize("title", ["Banana bread", "Lamb stew", "Ginger cake"])
def test_a_slice_is_offered_of_what_freezing_leaves_as_it_was(title):
    found = freezing(compare(["more salt", "less salt"], title=title))
    assert found.offered and "unmarked" in found.says


@pytest.mark.parametrize("title, because", [
    ("Cucumber dip", "cucumber"), ("Fried bread", "fried"), ("Custard", "custard"), ("Potato bread", "potato"), ("Something of ours", "isn’t known"),
])
def test_no_slice_is_offered_of_what_freezing_changes_or_of_what_isnt_known(title, because):
    found = freezing(compare(["more salt", "less salt"], title=title))
    assert not found.offered and because in found.says


def test_a_crust_that_is_judged_takes_the_slice_away():
    study = pp.Study.from_dict({
        "title": "Rye bread", "attributes": [{"name": "crust", "scale": [0, 10], "better": "more"}],
        "factors": [{"name": "steam", "options": [{"name": "none"}, {"name": "a tray"}]}],
    })
    assert "crust, which is judged here" in freezing(study).says and not freezing(crackers()).offered


def test_the_control_is_made_again_once_with_a_code_of_its_own():
    study = compare(["plain", "malt", "seeds", "rye"], title="Bread")
    study = study.model_copy(update={"brief": study.brief.model_copy(update={"rounds": study.plan.model_copy(update={"plates": 2})})})
    control = control_of(study)
    for seed in range(6):
        round_ = pp.next_round(study, seed=seed)
        tied = with_control(study, round_, seed=seed, passes=2)
        assert [t.version for t in tied.trials].count(control) == 1 and with_control(study, tied, seed=seed, passes=2) is tied
        if tied is not round_:
            assert len({p.code for p in tied.plates}) == len(tied.plates) == 3 * 2
            assert "ties this day to the others" in tied.trials[-1].why
