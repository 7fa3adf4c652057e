"""A taster's three words: short enough to type on a phone, long enough (with the limit on guesses) not to be guessed.

The words of a seat are drawn from the server's secret, so the lead's page can show them again without keeping them; after a restart it
can't, and offers new ones.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from proofpan.notebook import Notebook

WORDS = (
    "almond anise apple apricot aspic bain baker balm barley basil basin baste batter bay bean beet berry biscuit blend board boil bowl "
    "braise bran brew brine broth brush bun butter cake candle caper carrot celery chard cherry chervil chestnut chive churn cider citron "
    "clove cobnut cocoa coddle copper corn cress crimp crumb crust cumin cup curd currant custard damson dill dough dredge dumpling endive "
    "fennel fig filbert flan flask flour fold fork fritter froth fudge garlic ginger glaze grape grater gravy griddle grill guava hazel "
    "hearth herb honey hops hull husk ice jam jelly jug juice kale kettle knead knife ladle lard larder laurel leaf leek lemon lentil lettuce "
    "lime linen loaf lovage mace malt mango maple marrow mash medlar melon millet mint mixer morel mortar muffin mulberry nettle noodle "
    "nutmeg oat oil olive onion orange orchard oven paddle pan papaya parcel parsley parsnip pasta pastry pea peach pear pecan peel pepper "
    "pickle pie pinch pip plate plum poach pollen poppy pot prune pulse pumpkin quince radish ramson rasp relish rhubarb rice rind roast "
    "rocket roll rosemary rub rusk rye saffron sage salad salt sauce scald scale scone seed shallot sieve simmer skillet sorrel soup spelt "
    "spice spoon sprig sprout squash steam stew stir stock stove sugar sumac swede syrup table tahini tamarind tansy tarragon tart tea thyme "
    "tin toast tomato tray treacle trivet truffle tureen turnip vanilla vinegar walnut water whey whisk wheat yeast yolk zest"
).split()
PER_CODE = 3
MOST_TRIES = 40


def words_of(secret: str, study_id: str, round_number: int, taster: str, attempt: int) -> str:
    """Three words for a seat."""
    said = "\x00".join(("seat", study_id, str(round_number), taster, str(attempt)))
    digest = hmac.new(secret.encode(), said.encode(), hashlib.sha256).digest()
    number = int.from_bytes(digest[:8], "big")
    out = []
    for _ in range(PER_CODE):
        number, which = divmod(number, len(WORDS))
        out.append(WORDS[which])
    return "-".join(out)


def maker(secret: str, study_id: str, round_number: int, tasters: tuple[str, ...]) -> Callable[[], str]:
    """Gives the tokens of tasters in turn, as the notebook asks for them."""
    waiting = [words_of(secret, study_id, round_number, t, 0) for t in tasters]
    spare = iter(range(1, 10_000))

    def make() -> str:
        return waiting.pop(0) if waiting else words_of(secret, study_id, round_number, "spare", next(spare))

    return make


def fresh_words(book: Notebook, secret: str, study_id: str, round_number: int, taster: str) -> str:
    """New words for a seat, none that it had before."""
    known = known_words(book, secret, study_id, round_number, taster)
    first = 0
    if known is not None:
        first = 1 + next(i for i in range(MOST_TRIES) if words_of(secret, study_id, round_number, taster, i) == known)
    attempts = iter(range(first, 10_000))
    return book.admit(study_id, round_number, taster, make_token=lambda: words_of(secret, study_id, round_number, taster, next(attempts)))


def known_words(book: Notebook, secret: str, study_id: str, round_number: int, taster: str) -> str | None:
    """The words that a seat has now, if they were drawn from this secret."""
    for attempt in range(MOST_TRIES):
        words = words_of(secret, study_id, round_number, taster, attempt)
        seat = book.find_token(words, even_closed=True)
        if seat is not None and (seat.study_id, seat.round_number, seat.taster) == (study_id, round_number, taster):
            return words
        if attempt >= 3 and seat is None:
            return None
    return None


def as_typed(text: str) -> str:
    """What a taster typed, as a token: case, spaces and commas forgiven."""
    return "-".join(re.findall(r"[^\W_]+", text.casefold()))[:80]
