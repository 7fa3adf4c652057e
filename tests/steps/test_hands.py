"""Minutes of hands by what a step does; common practice, no source, but a step's own word beats it."""

import pytest

import proofpan as pp
from proofpan.steps.day_tasks import day_work
from proofpan.steps.hands import hands_of
from proofpan.study.recipe import Step


@pytest.mark.parametrize("do, minutes, hands, kind", [
    ("Knead for 10 minutes, until smooth.", 10, 10, "works"),
    ("Simmer for 40 minutes, until tender.", 40, 8, "watched"),
    ("Chill for 2 hours.", 120, 0, "waits"),
    ("Stir in the onion, then simmer for 20 minutes.", 20, 4, "watched"),
    ("Soak the beans overnight.", 600, 0, "waits"),
    ("Fold the dry into the wet for 2 minutes.", 2, 2, "works"),
    ("Roll into 20 balls and set on two trays for 9 minutes.", 9, 9, "works"),
    ("Boil for 2 minutes.", 2, 1, "watched"),
    ("Heat the oven to 180 C for 15 minutes.", 15, 0, "waits"),
    ("Leave to rise until doubled.", 90, 0, "waits"),
    ("Leave to stand 30 minutes.", 30, 0, "waits"),
    ("Let it sit, covered, for an hour.", 60, 0, "waits"),
    ("Leave to drain 30 minutes.", 30, 0, "waits"),
    ("Drain in a colander for 30 minutes.", 30, 0, "waits"),
    ("Hang in muslin for 6 hours.", 360, 0, "waits"),
    ("30 minutes' rest, covered.", 30, 0, "waits"),
    ("Turn and leave for another 30 minutes.", 30, 0, "waits"),
    ("Beat for 5 minutes, then leave to stand.", 5, 5, "works"),
    ("Fry the hanger steak for 4 minutes.", 4, 4, "works"),
    ("Grate the mature cheddar for 5 minutes.", 5, 5, "works"),
])
def test_hands_follow_the_verb(do, minutes, hands, kind):
    assert hands_of(Step(id="a", do=do, minutes=minutes)) == (pytest.approx(hands), kind)


def test_a_steps_own_word_beats_its_verb():
    assert hands_of(Step(id="a", do="Simmer for 40 minutes.", minutes=40, hands=12)) == (12, "said")
    assert hands_of(Step(id="a", do="Simmer."))[0] == 0.0


# the day planner's own reading: what stands needs nobody, what is whisked first needs somebody for as long as an untimed step
@pytest.mark.parametrize("do, hands", [
    ("Leave to stand 30 minutes.", 0), ("Cover and chill for 30 minutes.", 0), ("Whisk into a batter and leave to stand 30 minutes.", 10),
    ("Stand for 30 minutes, then strain.", 0), ("Stir for 30 minutes.", 30), ("Simmer for 30 minutes.", 30),
])
def test_the_day_asks_for_nobody_while_it_stands(do, hands):
    made = {"title": "T", "makes": "4 serves", "ingredients": ["100 g plain flour"], "method": [{"id": "one", "do": do, "minutes": 30}]}
    study = pp.Study.from_dict({"title": "T", "question": "Which?", "tasters": ["Ada"], "attributes": [{"name": "liking"}], "base": made,
                                "factors": [{"name": "salt", "options": ["little", "much"]}]})
    work = day_work(study, pp.next_round(study, seed=1))
    assert {work.tasks[key].hands for key in work.steps} == {hands}
