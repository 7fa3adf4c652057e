"""Minutes of hands by what a step does; common practice, no source, but a step's own word beats it."""

import pytest

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
])
def test_hands_follow_the_verb(do, minutes, hands, kind):
    assert hands_of(Step(id="a", do=do, minutes=minutes)) == (pytest.approx(hands), kind)


def test_a_steps_own_word_beats_its_verb():
    assert hands_of(Step(id="a", do="Simmer for 40 minutes.", minutes=40, hands=12)) == (12, "said")
    assert hands_of(Step(id="a", do="Simmer."))[0] == 0.0
