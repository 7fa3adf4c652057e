"""Dishes that conduction doesn't describe: no figure is given for them, in whatever words they are named."""

from __future__ import annotations

import re

from .errors import HeatError

NO_SUM = "No sum for this; cross-test it."

_WHY = {
    "it sets by a few degrees while it is still flowing":
        r"custards?|flans?|quiches?|frittatas?|omelett?es?|cr[eè]me caramel|cr[eè]me br[uû]l[eé]e|(?:lemon|fruit|lime|orange) curd|panna cotta",
    "stirring moves the heat, not conduction":
        r"stirred|stirring|stir[ -]fr(?:y|ied|ies)|scrambled|saut[eé]ed|saut[eé]|sauces?|risottos?|paellas?|stews?|casseroles?|curr(?:y|ies)|chill?i con carne"
        r"|rag[uù]s?|bolognese|hollandaise|b[eé]arnaise|b[eé]chamel|gravy|gravies|roux|polenta|grits|porridges?|oatmeal|congee|mash|mashed|pur[eé]es?|fondues?"
        r"|caramell?i[sz]ed onions?",
    "it is stirred by its own warmth": r"soups?|broths?|stocks?|chowders?|consomm[eé]s?",
    "it is a reaction in a stirred melt": r"caramels?|toffees?|fudges?|brittles?|pralines?|jams?|marmalades?|chutneys?|syrups?|nougats?",
    "its crust boils off while oil comes in":
        r"deep[ -]fr(?:y|ied)|fried in (?:deep )?(?:oil|fat)|(?:in|into) (?:hot |deep )?oil|french fries|fries|potato crisps|tempura|fritters?|doughnuts?"
        r"|donuts?|churros?|falafels?|beignets?|pakoras?|bhajis?|croquettes?",
    "it sets, swells and fries at once": r"batters?|battered|pancakes?|cr[eê]pes?|blinis?|waffles?|yorkshire puddings?",
    "it swells and dries while it browns":
        r"\w*bread|loaf|loaves|baguettes?|brioches?|focaccias?|bagels?|pretzels?|naans?|pittas?|pitas?|pizzas?|buns?|doughs?|crackers?|biscuits?|cookies?"
        r"|scones?|past(?:ry|ries)|choux|profiteroles?|[eé]clairs?|pies?|tarts?|crumbles?",
    "it rises while it sets": r"\w*cakes?|souffl[eé]s?|muffins?|brownies?|madeleines?|steamed puddings?|sponge puddings?",
    "it is foam, and dries or sets rather than warms": r"meringues?|pavlovas?|macarons?|mousses?|marshmallows?|ice creams?|sorbets?",
    "it takes up water while it cooks": r"rice|pasta|noodles?|spaghetti|macaroni|couscous|bulgur|quinoa|lentils?|dal|dhal|chickpeas?|dried beans?",
    "its layers bubble and set": r"lasagn[ae]s?|gratins?|moussakas?",
    "it bursts": r"popcorn",
    "it dries while it is turned": r"granolas?|muesli",
    "fat runs from it while it dries": r"crackling|crisp(?:y)? skin",
}
# what bears such a word and is conduction all the same
_MEANT = re.compile(r"meat ?loa(?:f|ves)|(?:fish|crab|potato) ?cakes?|bean curd|spaghetti squash|sweet ?breads?|breadfruits?|in stock|in sauce", re.I)
_PATTERNS = tuple((why, re.compile(rf"(?<![\w])(?:{words})(?![\w])", re.I)) for why, words in _WHY.items())


def refuse_unsuited(*words: str) -> None:
    """Stop at a dish that conduction doesn't describe, in whatever words it is named.

    Raises: HeatError: "No sum for this; cross-test it", and why.
    """
    text = _MEANT.sub(" ", " ".join(words).lower())
    for why, pattern in _PATTERNS:
        found = pattern.search(text)
        if found is not None:
            raise HeatError(f"{NO_SUM} In {found[0]}, {why}.")
