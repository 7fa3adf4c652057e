"""Costs from the kitchen's own prices: as purchased, per test batch and serve, with what can't be read said."""

import pytest

import proofpan as pp
from proofpan.steps.costing import prices_of
from proofpan.steps.recipe_text import cost_lines
from proofpan.steps.recipe_using import asked_for
from proofpan.study.errors import QuantityError
from tests.steps.test_forty_faults import HEAD, TAIL

BASE = """\
  title: Plain
  makes: 30 crackers
  serves: 6
  trial_makes: 10 crackers
  ingredients: ["250 g plain flour", "2 eggs", "1 cup milk", "200 g peeled pumpkin", "4 g fine salt"]
  method: [{id: mix, do: "Mix everything for 2–3 minutes, until even.", minutes: 2}]
kitchen: {country: AU, currency: AUD, prices: [%s]}
limits: {cost_a_serve: 0.5}
"""


def cost(*prices):
    made = pp.Study.from_text(HEAD + BASE % ", ".join(f'"{p}"' for p in prices) + TAIL)
    return pp.recipe(made, made.versions()[0])


def test_the_batch_the_test_batch_and_a_serve():
    found = cost("plain flour 2.00 per kg", "eggs 6.00 a dozen", "milk 1.60 per L", "pumpkin 4.00 per kg", "fine salt 2 per kg").cost
    pumpkin = 0.2 * 4 / 0.70                    # USDA SR26 NDB 11422: pumpkin, refuse 30 %
    assert found.batch == pytest.approx(0.25 * 2 + 2 * 0.5 + 0.25 * 1.6 + pumpkin + 0.008, rel=0.02)
    assert found.test_batch == pytest.approx(found.batch / 3) and found.a_serve == pytest.approx(found.batch / 6)
    assert found.missing == () and found.limit == 0.5
    assert "over it" in cost_lines(found)[0] and "the limit is AUD 0.50" in cost_lines(found)[0]


def test_a_price_that_cannot_be_read_is_said_and_the_sum_is_at_least():
    recipe = cost("plain flour 2.00 per kg", "eggs about a fiver")
    assert recipe.cost.unread == ("The price “eggs about a fiver” can't be read, so it isn't counted: write it as plain flour 1.80 per kg, "
                                  "or eggs 6.00 a dozen.",)
    assert "at least AUD 0.50" in recipe.text() and "can't be read" in recipe.text() and "eggs" in recipe.cost.missing


@pytest.mark.parametrize("line, one, per", [("eggs $6.00/dozen", 0.5, "each"), ("butter: 4.20 per 250 g", 0.0168, "g"), ("milk 1.50 / 1 L", 0.0015, "ml"),
                                            ("garlic 1.20 a head", 1.2, "head"), ("oil 12 AUD per L", 0.012, "ml"), ("flour 3 per 2 lb", 3 / 907.18474, "g")])
def test_prices_as_a_shopper_writes_them(line, one, per):
    prices, unread = prices_of((line,))
    found = next(iter(prices.values()))
    assert unread == () and found.one == pytest.approx(one) and found.per == per


@pytest.mark.parametrize("words, factor", [("60 crackers", 2), ("2x", 2), ("½x", 0.5), ("12 serves", 2), ("for 3 people", 0.5), ("500 g flour", 2),
                                           ("test batch", 1 / 3), ("double", 2), ("3 eggs", 1.5), ("12", 2)])
def test_a_recipe_is_scaled_by_a_readers_words(words, factor):
    recipe = cost("plain flour 2.00 per kg")
    assert recipe.scaled(**asked_for(recipe, words)).factor == pytest.approx(factor)


@pytest.mark.parametrize("words", ["lots", "200 g unobtainium", "0 g flour", "-3"])
def test_words_that_say_no_size_are_one_sentence(words):
    recipe = cost("plain flour 2.00 per kg")
    with pytest.raises(QuantityError):
        recipe.scaled(**asked_for(recipe, words))
