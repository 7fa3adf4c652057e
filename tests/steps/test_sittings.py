"""Other ballots laid and read: who gets what, in which order, and the sentence that follows at once."""

import re
from collections import Counter

import pytest

from proofpan.steps.rounds import next_round
from proofpan.steps.sitting_words import sitting_result
from proofpan.steps.sittings import lay_sitting
from proofpan.study.errors import BallotError
from proofpan.study.sittings import read_answer
from proofpan.study.study import Study


def kitchen(tasters=12, options=("butter", "lard"), **more):
    study = Study.from_dict(
        {
            "title": "Dip",
            "tasters": tasters,
            "attributes": [{"name": "snap"}],
            "factors": [{"name": "fat", "options": list(options)}],
            "rounds": {"plates": len(options)},
            **more,
        }
    )
    round_ = next_round(study, seed=1)
    return study.with_round(round_), round_


def with_answers(study, sitting, answer):
    """Everybody answers as `answer(set, nth)` says."""
    given = [read_answer(sitting, s.taster, s.code, answer(s, i)) for i, s in enumerate(sitting.sets)]
    return study.with_sitting(sitting).with_answers(given)


def test_twelve_triangles_use_each_of_the_six_orders_twice():  # ISO 4120:2021, 8.1: the six orders equally often; from memory
    study, round_ = kitchen()
    sitting = lay_sitting(study, round_, "triangle", seed=3)
    shapes = Counter(tuple(p.trial for p in s.plates) for s in sitting.sets)
    assert set(shapes.values()) == {2} and len(shapes) == 6


def test_the_right_answers_of_a_triangle_are_the_odd_plates():
    study, round_ = kitchen()
    for found in lay_sitting(study, round_, "triangle", seed=4).sets:
        trials = {p.code: p.trial for p in found.plates}
        (odd,) = found.right
        assert list(trials.values()).count(trials[odd]) == 1


def test_a_duo_trios_reference_is_shown_and_cannot_be_chosen():
    study, round_ = kitchen()
    sitting = lay_sitting(study, round_, "duo-trio", seed=3)
    for found in sitting.sets:
        trials = {p.code: p.trial for p in found.plates}
        assert trials[found.right[0]] == trials[found.shown] and found.shown not in found.open_codes
    with pytest.raises(BallotError, match="isn't among them"):
        read_answer(sitting, sitting.sets[0].taster, sitting.sets[0].code, {"pick": sitting.sets[0].shown})


def test_eight_right_of_twelve_triangles_tell_them_apart():  # ISO 4120, table A.1: 8 of 12 at 0.05; from memory
    study, round_ = kitchen()
    sitting = lay_sitting(study, round_, "triangle", seed=3)
    wrong = lambda s: next(c for c in s.open_codes if c not in s.right)  # noqa: E731
    says = sitting_result(with_answers(study, sitting, lambda s, i: {"pick": s.right[0] if i < 8 else wrong(s)}), sitting).says[0]
    assert "8 of 12 triangles right: they can be told apart" in says and says.startswith("Butter and lard")
    says = sitting_result(with_answers(study, sitting, lambda s, i: {"pick": s.right[0] if i < 7 else wrong(s)}), sitting).says[0]
    assert "doesn't show a difference, nor that they are alike" in says


def test_nine_of_ten_prefer_one():  # exact binomial, two-sided: 22/1024 = 0.021
    study, round_ = kitchen(10)
    sitting = lay_sitting(study, round_, "preference", seed=3)
    result = sitting_result(with_answers(study, sitting, lambda s, i: {"pick": sorted(s.plates, key=lambda p: p.trial)[i > 0].code}), sitting)
    assert result.says[0].startswith("Lard is preferred to butter: 9 of 10") and "21 times in 1,000" in result.says[0]


def test_pairs_of_three_are_tasted_by_all_and_ordered():
    study, round_ = kitchen(24, ("butter", "lard", "oil"))
    sitting = lay_sitting(study, round_, "preference", trials=[1, 2, 3], seed=3)
    assert all(len(sitting.of(t)) == 3 for t in sitting.tasters)
    made = {study.trial(n).version["fat"]: n for n in (1, 2, 3)}
    order = [made[f] for f in ("butter", "lard", "oil")]
    answer = lambda s, i: {"pick": sorted(s.plates, key=lambda p: order.index(p.trial))[i % 6 == 0].code}  # noqa: E731
    assert sitting_result(with_answers(study, sitting, answer), sitting).says[0].startswith("Preferred in this order: butter, then lard, then oil")


def test_a_ranking_by_all_alike_is_told_apart():
    study, round_ = kitchen(6, ("butter", "lard", "oil"))
    sitting = lay_sitting(study, round_, "ranking", seed=3)
    made = {study.trial(n).version["fat"]: n for n in (1, 2, 3)}
    order = [made[f] for f in ("oil", "lard", "butter")]
    best_first = lambda s, i: {"pick": " ".join(p.code for p in sorted(s.plates, key=lambda p: order.index(p.trial)))}  # noqa: E731
    result = sitting_result(with_answers(study, sitting, best_first), sitting)
    assert result.says[0].startswith("The tasters rank them apart: oil, then lard, then butter")
    assert result.rows[0] == ("Oil", "mean place 1.0 of 3")


def test_a_hidden_control_takes_off_what_is_seen_in_nothing():
    study, round_ = kitchen(8)
    sitting = lay_sitting(study, round_, "difference from control", seed=3)
    plain = lambda s: s.plates[0].trial == sitting.control  # noqa: E731
    taster = lambda s: int(s.taster.split()[1])  # noqa: E731
    same = with_answers(study, sitting, lambda s, i: {"m0": str(2 + taster(s) % 2 * (plain(s) != (taster(s) % 4 == 1)))})
    says = sitting_result(same, sitting).says[0]
    assert "no difference from the control is shown, nor that they are alike; 0.0 steps" in says
    apart = with_answers(study, sitting, lambda s, i: {"m0": str(1 if plain(s) else 4 + taster(s) % 2)})
    assert "differs from the control, by 3.5 steps of 6" in sitting_result(apart, sitting).says[0]


def test_liking_is_asked_before_just_right_and_the_penalty_said():
    study, round_ = kitchen(8)
    sitting = lay_sitting(study, round_, "just right", asked="salt: bland, salty", seed=3)
    assert [a.says for a in sitting.asks] == ["How much do you like it?", "Salt?"]
    low = lambda s, i: {"m0": "4", "m1": "-2"} if i % 2 else {"m0": "8", "m1": "0"}  # noqa: E731
    says = sitting_result(with_answers(study, sitting, low), sitting).says
    assert any("just right" in s for s in says) and any("like it" in s for s in says)


def test_a_taster_who_cannot_have_one_of_the_two_is_not_asked():
    study, round_ = kitchen(
        [{"name": "Ada", "no": ["sesame"]}, "Bo"], factors=[{"name": "seed", "options": ["none", {"name": "topped", "contains": ["sesame"]}]}],
        rounds={"plates": 2},
    )
    sitting = lay_sitting(study, round_, "triangle")
    assert sitting.tasters == ("Bo",) and "Ada isn’t asked" in sitting.cautions[0]


def test_a_failed_trial_is_not_served():
    study, round_ = kitchen(4, ("butter", "lard", "oil"))
    study = study.with_trials(__import__("pandas").DataFrame([{"round": 1, "trial": 2, "failed": "burnt"}]))
    assert 2 not in lay_sitting(study, round_, "ranking").trials


def test_300_tasters_have_codes_that_differ_within_each_taster():
    study, round_ = kitchen(300)
    sitting = lay_sitting(study, round_, "two out of five")
    for name in sitting.tasters[:20]:
        codes = [p.code for s in sitting.of(name) for p in s.plates]
        assert len(codes) == len(set(codes)) == 5


@pytest.mark.parametrize("kind, more, says", [
    ("guess", {}, "There is no ballot"), ("triangle", {"turns": 13}, "too many for a palate"),
    ("lines", {"asked": "snap: soft"}, "both ends"), ("lines", {"asked": "\n".join("abcdef")}, "at most 4 things"),
    ("difference from control", {"control": 9}, "one of the plates"), ("liking", {"trials": [9]}, "isn't there"),
])  # fmt: skip
def test_what_cannot_be_laid_is_said(kind, more, says):
    study, round_ = kitchen(2)
    with pytest.raises(BallotError, match=says):
        lay_sitting(study, round_, kind, **more)


def test_one_answer_alone_says_so_without_a_figure_it_cannot_carry():
    study, round_ = kitchen(1)
    for kind, answer in (("liking", {"m0": "7"}), ("lines", {"m0": "7"}), ("difference from control", {"m0": "1"})):
        sitting = lay_sitting(study, round_, kind)
        says = sitting_result(with_answers(study, sitting, lambda s, i, a=answer: a), sitting).says
        assert all("nan" not in s for s in says) and any("two at least" in s for s in says)


def test_a_mean_of_few_answers_has_a_range_that_ends_where_the_scale_does():
    study, round_ = kitchen(2)
    sitting = lay_sitting(study, round_, "liking")
    found = sitting_result(with_answers(study, sitting, lambda s, i: {"m0": str(8 + i % 2)}), sitting)
    ranges = [re.search(r"of 9 \((\S+) to (\S+)\)", figures).groups() for _, figures in found.rows]
    assert ranges and all(1 <= float(low) <= float(high) <= 9 for low, high in ranges)
    assert any(high == "9.0" for _, high in ranges)  # 8 and 9 of two tasters: t with one degree of freedom goes to 14.9
