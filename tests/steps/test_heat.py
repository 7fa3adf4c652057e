"""Heat from words to what a recipe may say; the oven's fit kept with the kitchen; kitchens' out-times win; a cluster gives the same numbers."""

import numpy as np
import pandas as pd
import pytest
import yaml

import proofpan as pp
from proofpan.science.probe import ProbeLog, read_log
from proofpan.steps.heat import fit, heat, ready_shares
from proofpan.steps.heat_curve import heat_curve
from proofpan.steps.heat_kitchen import keep_fit, out_times, oven_of, stages_from
from proofpan.study.errors import QuantityError, StudyError
from tests.kitchens import CRACKERS, crackers

TIMES = np.arange(0.0, 3600.0, 30.0)


def a_log_of_an_oven(offset_c: float, transfer: float, kind: str = "oven") -> str:
    """A core's log as a file, made by the house's own solver with noise; the fit is held against another solver in tests/science/heat."""
    from proofpan.science.heat import cook, food_material, piece_of, stage

    food = food_material({"water": 0.79, "protein": 0.02, "carbohydrate": 0.19})
    cooked = cook(piece_of("slab", 4), food, [stage(kind, 60, 180 + offset_c, heat_transfer_w_m2k=transfer)], 6.0)
    core = cooked.core_at(TIMES) + np.random.default_rng(5).normal(0, 0.1, TIMES.size)
    return "time,temperature\n" + "".join(f"{t:g},{c:.2f}\n" for t, c in zip(TIMES, core, strict=True))


BOILED = {"food": "potato", "shape": "sphere", "sizes_cm": (4,), "stages": ("boil",), "until": ("80-92",)}


@pytest.fixture
def study(tmp_path):
    path = tmp_path / "study.yaml"
    path.write_text(CRACKERS)
    return pp.Study.load(path)


@pytest.fixture
def log():
    found = read_log(a_log_of_an_oven(0.0, 18.0), time_column="time", temperature_column="temperature")
    assert isinstance(found, ProbeLog)
    return found


def test_the_answer_has_sentences_odds_and_its_caution():
    got = heat(**BOILED, kitchens=32, cores=1)
    assert got.says[0].startswith("Spheres of 4 cm, until its core is 80-92 °C: ") and "start looking at" in got.says[0]
    assert got.probability_low <= got.probability <= got.probability_high and "cross-test" in got.cautions[-1]
    assert got.curve[0][1] == 20 and got.curve[-1][1] > 80


def test_the_curve_of_one_kitchen_is_the_answers_own():
    once, many = heat_curve(**BOILED), heat(**BOILED, kitchens=32, cores=1)
    assert once.window_min == pytest.approx(many.own_min, abs=0.15) and once.levels == (80.0,)


def test_in_the_mountains_water_boils_cooler_and_it_takes_longer():
    sea, high = (heat_curve(**BOILED, altitude_m=h).window_min[0] for h in (0, 2500))
    assert high > sea + 0.3


@pytest.mark.parametrize("named", [{"food": "custard"}, {"until": ("bread crust",)}, {"what": "Scrambled eggs"}])
def test_what_the_model_does_not_describe_gets_no_figure(named):
    with pytest.raises(QuantityError, match="No sum for this; cross-test it"):
        heat_curve(**{**BOILED, **named})


@pytest.mark.parametrize("stages, says", [(("soak 180 for 10 min", "boil"), "boils at 100"), (("soak 20", "boil"), "how long"),
                                          (("toast 5 for 2 min", "boil"), "stage known"),
                                          (("boil for 10 min",), "leave them out"), (("soak 20 for 99999 min", "boil"), "two days"),
                                          (("fridge",), "don't hold")])
def test_stages_that_make_no_sense_are_refused_in_a_sentence(stages, says):
    with pytest.raises(QuantityError, match=says):
        heat_curve(**{**BOILED, "stages": stages})


def test_a_fit_is_kept_with_the_named_oven_and_used_afterwards(study, log):
    got = fit(log, "water=0.79, protein=0.02, carbohydrate=0.19", "slab", (4,), ("oven 180",), ("heat transfer",), 6.0)
    name = oven_of(study).name
    changed = keep_fit(study, name, got, "log.csv")
    oven = oven_of(changed, name)
    assert oven.offset_c is None and oven.heat_transfer_w_m2k == pytest.approx(18, rel=0.1) and "log.csv" in oven.fitted
    assert oven_of(pp.Study.from_dict(yaml.safe_load(changed.to_yaml())), name).heat_transfer_w_m2k == oven.heat_transfer_w_m2k
    roast = {"food": "chicken", "shape": "slab", "sizes_cm": (2.5,), "stages": ("oven 180",), "until": ("74",), "start_c": 6.0}
    as_set = heat_curve(**roast, heat_transfer_w_m2k=oven.heat_transfer_w_m2k).window_min[0]
    cooler = heat_curve(**roast, heat_transfer_w_m2k=oven.heat_transfer_w_m2k, oven_offset_c=-20).window_min[0]
    assert cooler > as_set + 1


def test_a_night_s_soak_softens_nothing():
    cold, soaked = (heat_curve("potato", "cube", (3,), stages, ("tender",)).window_min[0] for stages in (("boil",), ("soak 20 for 720 min", "boil")))
    assert soaked == pytest.approx(cold, abs=0.2)


def test_an_oven_that_is_not_there_is_named(study):
    with pytest.raises(StudyError, match="No oven"):
        oven_of(study, "cellar")


def test_a_fan_oven_of_the_kitchen_makes_the_stage_a_fans(study):
    assert stages_from(oven_of(study), ("soak 20 for 5 min", "oven 180"))[-1] == "fan oven 180"


def test_real_out_times_are_read_from_trials_that_did_not_fail_and_win(study):
    trials = study.with_round(pp.next_round(study, seed=1))
    first, second, third = (t for t in trials.trial_records[:3])
    rows = ["round,trial,version,start,out,failed"]
    rows += [f"1,{t.trial},{t.version},10:00,10:{m},{f}" for t, m, f in ((first, 16, ""), (second, 18, ""), (third, 40, "burnt"))]
    import io


    cooked = trials.with_trials(pd.read_csv(io.StringIO("\n".join(rows)), dtype=str, keep_default_na=False))
    times = out_times(cooked, cross_tests=(20.0, None))
    assert sorted(times) == [16.0, 18.0, 20.0]
    got = heat(**BOILED, kitchens=32, cores=1, out_min=times)
    assert got.window_min == (16, 20) and "kitchens" in got.says[-1]


def test_two_cores_give_the_same_numbers_as_one():
    one, two = (heat(**BOILED, kitchens=64, cores=n) for n in (1, 2))
    assert one == two


def test_a_cluster_gives_the_same_numbers():
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None) as cluster:
        far = heat(**BOILED, kitchens=64, cluster=cluster.scheduler_address)
    assert far == heat(**BOILED, kitchens=64, cores=1)


def test_a_cluster_that_is_not_there_is_said(monkeypatch):
    monkeypatch.setattr("proofpan.steps.heat.CLUSTER_ANSWERS_S", 0.5)
    with pytest.raises(StudyError, match="cluster"):
        heat(**BOILED, kitchens=32, cluster="tcp://127.0.0.1:1")


def test_a_recipe_without_the_food_says_nothing_of_its_time():
    made = crackers().with_trials(pd.DataFrame([
        {"round": 1, "trial": 1, "version": "fat=butter; rest=none; oven=170", "start": "10:00", "out": "10:18"}]))
    assert out_times(made) == out_times(made, food="plain flour") == (18.0,)
    assert out_times(made, food="chicken thighs") == ()


def test_how_many_kitchens_are_ready_when():
    begins, ends = np.array([10.0, 12.0, 20.0, np.nan]), np.array([14.0, 18.0, np.inf, np.nan])
    ready = ready_shares(begins, ends)
    at = lambda minute: min(ready, key=lambda r: abs(r[0] - minute))[1]  # noqa: E731
    assert (at(8.5), at(11), at(13), at(16), at(23)) == (0.0, 0.25, 0.5, 0.25, 0.25)
    assert ready_shares(np.array([np.nan]), np.array([np.nan])) == ()
