"""The page of a proposed round and the verdict don't contradict each other."""

import proofpan as pp
from proofpan.web.pages.rounds.page import rounds_page
from tests.kitchens import crackers, judged_study

from .conftest import crackers as seeded


def test_a_round_that_the_verdict_wouldnt_cook_is_offered_only_if_one_cooks_on(lead):
    page = lead.get(f"{seeded(lead)}/rounds").text
    assert "would not cook on" not in page
    round_ = pp.next_round(crackers())
    model = rounds_page(crackers(), round_, "proposed", "s", 0, ("", ""), False, stop="Stop here.")
    assert model.headline == f"If you cook on: these {len(round_.trials)}." and model.stop == "Stop here."


def test_the_verdicts_reason_to_stop_is_the_one_shown():
    from types import SimpleNamespace

    from proofpan.web.pages.rounds.route import _why_stop

    study = judged_study(crackers(), times=6)
    verdict = pp.judge(study)
    shown = _why_stop(SimpleNamespace(study=study, verdict=verdict))
    assert shown == (verdict.next.why if verdict.next.stop else "")
    assert _why_stop(SimpleNamespace(study=crackers(), verdict=None)) == ""
