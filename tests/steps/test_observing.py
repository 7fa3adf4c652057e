"""What the model is told of a study's versions."""

import proofpan as pp
from proofpan.steps.observing import cooked_of


def test_a_factor_of_which_all_that_is_added_must_earn_its_place_is_an_extra():
    study = pp.Study.from_dict({
        "title": "Crackers", "tasters": 2, "attributes": [{"name": "snap"}],
        "factors": [
            {"name": "fat", "options": ["butter", "oil"]},
            {"name": "rest", "asks": "worth it", "options": ["none", "30 min"]},
            {"name": "salt", "asks": "worth it", "options": ["plain", "flakes", {"name": "smoked", "asks": "best"}]},
        ],
    })  # fmt: skip
    assert cooked_of(study).space.extras == (False, True, False)
