"""The dry run: what this kitchen can see, what each plan takes, and the plan that does best with the same trials."""

import pytest

import proofpan as pp
from proofpan.steps.dry_run import _fewer_tasters
from tests.kitchens import CRACKERS, crackers, plain

FOUR_THINGS = [
    {"name": "a", "options": [{"name": f"a{i}"} for i in range(2)]}, {"name": "b", "options": [{"name": f"b{i}"} for i in range(4)]},
    {"name": "c", "options": [{"name": f"c{i}"} for i in range(4)]}, {"name": "d", "options": [{"name": f"d{i}"} for i in range(2)]},
]


@pytest.fixture(scope="module")
def two_tasters():
    """Two tasters, twelve trials of 64 versions in one oven of four places."""
    study = plain(factors=FOUR_THINGS, tasters=2, kitchen={"country": "AU", "ovens": [{"name": "main", "kind": "fan", "trays": 2, "places": 2}]})
    return study, pp.dry_run(study, kitchens=500, seed=4)


def test_each_plan_says_what_it_takes(two_tasters):
    study, done = two_tasters
    table = done.table().set_index("plan")
    assert table.loc["this plan", "tastings"] == 12 * 2
    assert table.loc["each plate tasted once more", "tastings"] == 12 * 2 * 2
    assert table.loc["two more tasters", "tastings"] == 12 * 4
    assert any("It takes 24 tastings" in line for line in done.says)
    assert any("h of hands at the stove" in line for line in pp.dry_run(crackers(), kitchens=10).says)


def test_with_two_tasters_a_better_plan_at_the_same_trials_is_proposed_and_can_be_kept(two_tasters):
    study, done = two_tasters
    plan = done.proposal
    assert plan is not None and plan.says in done.says
    assert plan.passes == 2 or plan.plates == 2
    table = done.table().set_index("plan")
    assert table.loc[plan.plan, "trials"] == table.loc["this plan", "trials"]
    assert table.loc[plan.plan, "within_worth"] > done.within_worth
    kept = plain(factors=FOUR_THINGS, tasters=2, kitchen={"country": "AU", "ovens": [{"name": "main", "kind": "fan", "trays": 2, "places": 2}]},
                 rounds={"loads": plan.loads, "at_most": plan.at_most, "passes": plan.passes, **({"plates": plan.plates} if plan.plates else {})})
    round_ = pp.next_round(kept)
    assert len(round_.trials) * plan.at_most == 12
    assert len(round_.codes) == len(round_.trials) * 2 * plan.passes


def test_fewer_plates_than_places_are_cooked_on_the_fewest_trays():
    study = pp.Study.from_text(CRACKERS.replace("at_most: 3", "at_most: 3, plates: 2"))
    assert [(t.tray, t.place) for t in pp.next_round(study).trials] == [(1, 1), (1, 2)]


@pytest.mark.parametrize(("rounds", "tasters", "split"), [(3, 2, (6, 1)), (3, 6, (4, 4)), (3, 1, None), (2, 12, (3, 8)), (1, 3, None)])
def test_more_trials_with_fewer_tasters_are_about_as_many_tastings(rounds, tasters, split):
    assert _fewer_tasters(rounds, tasters) == split


def test_the_kitchens_are_drawn_from_all_that_is_believed_possible():
    """As often as the prior says, nothing that varies matters: then every version is within `worth` of the best."""
    from proofpan.science.versions import Prior, make_space
    from proofpan.science.versions.dryrun import Invented

    space = make_space({"a": ["0", "1"], "b": ["0", "1", "2"]})
    flat = sum(abs(Invented(space, Prior(), 2, 1, 0, i).truth).max() < 0.2 for i in range(1000))
    assert abs(flat / 1000 - Prior().nothing) < 0.04


def test_a_cluster_and_this_machine_give_the_same_numbers():
    distributed = pytest.importorskip("distributed")
    study = crackers()
    with distributed.LocalCluster(n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None) as cluster:
        assert pp.dry_run(study, kitchens=130, seed=2, cluster=cluster.scheduler_address) == pp.dry_run(study, kitchens=130, seed=2)


def test_no_cluster_at_the_address_is_said(monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr("proofpan.steps.dry_run.CLUSTER_WAIT_S", 1)
    with pytest.raises(pp.ProofpanError, match="No cluster answers"):
        pp.dry_run(crackers(), kitchens=5, cluster="tcp://127.0.0.1:9")


def test_stated_effects_take_the_place_of_what_is_usual():
    study = plain(factors=FOUR_THINGS[:2], tasters=2, kitchen={"country": "AU", "ovens": [{"name": "main", "kind": "fan", "trays": 2, "places": 2}]})
    nothing = pp.dry_run(study, kitchens=60, effects={"a": 0, "b": 0, "pairs": 0})
    much = pp.dry_run(study, kitchens=60, effects={"a": 4, "b": 4, "pairs": 0})
    assert nothing.within_worth > 0.95 and nothing.expected_loss < 0.3
    assert much.within_worth > much.habit_within_worth - 0.1
    assert nothing.expected_loss < much.expected_loss


@pytest.mark.parametrize(("effects", "says"), [({"fatt": 1.0}, "Did you mean “fat”"), ({"fat": 40.0}, "from 0 to 10")])
def test_an_effect_of_nothing_that_varies_is_said(effects, says):
    with pytest.raises(pp.ProofpanError, match=says):
        pp.dry_run(crackers(), kitchens=5, effects=effects)


def limited(**limits):
    import yaml

    return pp.Study.from_dict({**yaml.safe_load(CRACKERS), "limits": limits})


def test_what_lies_outside_the_limits_is_never_where_a_dry_run_ends():
    """Only the version without olive oil and without a rest, at one oven, is left: there is nothing to choose, so every plan ends at it."""
    one = limited(must_use=["60 g unsalted butter"], active_minutes=8)
    free = pp.dry_run(crackers(), kitchens=40)
    held = pp.dry_run(one, kitchens=40)
    assert held.within_worth > free.within_worth
    with pytest.raises(pp.StudyError, match="No version lies within the limits"):
        pp.dry_run(limited(ingredients=1), kitchens=4)


def test_what_breaks_a_limit_isnt_cooked_in_any_invented_kitchen():
    import numpy as np

    from proofpan.science.versions import LoadPlan, Prior, make_space
    from proofpan.science.versions.dryrun import Invented, _Rule, _typical
    from proofpan.steps.dry_run import _settings

    brief = crackers().brief
    limits = brief.limits.model_copy(update={"must_use": ("60 g unsalted butter",)})
    limited = crackers().model_copy(update={"brief": brief.model_copy(update={"limits": limits})})
    may = _settings(limited)["candidates"]
    assert [str(v)[:10] for v, ok in zip(limited.versions(), may, strict=True) if ok] == ["fat=butter"] * 4
    space, prior = make_space({"a": ["0", "1"], "b": ["0", "1", "2"]}), Prior()
    inside = np.array([True, False, True, True, False, True])
    rule = _Rule(space, _typical(space, prior, 2, 1), LoadPlan(1, ((0, 0), (0, 1))), 3, np.zeros(6), inside)
    cooked = []
    kitchen = Invented(space, prior, 2, 1, 0, 1)
    serve = kitchen.serve
    kitchen.serve = lambda load: cooked.extend(load) or serve(load)
    rule.play(kitchen)
    assert len(cooked) == 6 and inside[cooked].all()
