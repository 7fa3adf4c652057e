"""Tells a count that makes sense ("3 eggs") from an amount whose unit is missing ("250 plain flour") or unknown ("3 glorps salt")."""

import re

# Nobody counts these: a bare number before them lacks its unit.
NEVER_COUNTED = frozenset(
    """flour sugar salt butter water milk buttermilk oil rice vinegar honey syrup cornflour cornstarch arrowroot tapioca
    semolina polenta couscous quinoa oatmeal oats yeast powder cocoa cream treacle molasses ghee lard margarine shortening
    suet broth paprika cumin turmeric cayenne saffron breadcrumbs lentils gelatine gelatin agar glucose dextrose molasses malt
    mince sultanas bran cornmeal masa wine tamari mirin sake passata ketchup mayonnaise crème yoghurt-powder""".split()
)
_NEVER_PAIRS = frozenset(
    {
        "baking soda",
        "bicarbonate soda",
        "black pepper",
        "white pepper",
        "ground pepper",
        "cayenne pepper",
        "soy sauce",
        "fish sauce",
    }
)
# Words that may stand before such a noun without being a unit.
_MODIFIERS = frozenset(
    """plain white brown wholemeal wholewheat whole-wheat whole wheat rye spelt barley oat rice corn maize almond coconut chickpea
    gram buckwheat bread cake pastry self-raising self-rising all-purpose strong strong-white extra-strong soft sifted potato
    tapioca millet sorghum teff soy soya bean caster castor superfine granulated icing powdered confectioners' demerara
    muscovado dark light raw palm jaggery golden maple malt rice date cane turbinado fine coarse sea rock table flaky kosher
    pickling curing pink black smoked celery garlic onion unsalted salted softened melted clarified cold warm hot boiling
    iced ice tap filtered lukewarm tepid whole full-fat skimmed skim semi-skimmed low-fat fresh oat soy evaporated condensed
    dried powdered coconut goat's goats olive vegetable sunflower rapeseed canola sesame peanut groundnut mustard extra-virgin
    extra virgin neutral toasted chilli cider apple wine red sherry balsamic malt distilled basmati jasmine long-grain arborio
    sushi short-grain wild cooked clear runny acacia instant active baking fast-action easy-bake curry custard milk chilli
    chili cocoa baker's brewer's double single whipping heavy thickened sour clotted pouring black sweet hot ground grated
    rolled porridge jumbo quick pinhead steel-cut green split panko stale beef lamb pork turkey lean minced organic good
    good-quality best cooking frying nut hazelnut walnut avocado grapeseed corn pure peanut cashew shea chicken fish bone leaf
    sheet and of the a unbleached bleached stoneground fortified 00 tipo agave corn liquid sparkling still mineral salty
    himalayan iodised iodized dairy vegan plant-based unsweetened sweetened sweet barista shaoxing dry cooking""".split()
)
_CUT = re.compile(r"\s+(?:with|in|from|for|or|and)\s+|,|\(")


def missing_unit(item: str) -> tuple[str, str] | None:
    """What is wrong with a bare count of this item, or None when it may be counted.

    Args:
        item: the name after the number, such as "plain flour".

    Returns:
        ("no unit", noun), or ("unknown unit", word) where the first word is no describing word known here.
    """
    words = _CUT.split(item.lower().strip())[0].split()
    if not words:
        return None
    noun = words[-1].strip(".")
    pair = " ".join(words[-2:]).replace(" of ", " ")
    if noun not in NEVER_COUNTED and pair not in _NEVER_PAIRS and not item.lower().startswith("bicarbonate of soda"):
        return None
    if len(words) > 1 and words[0] not in _MODIFIERS and not (len(words) == 2 and pair in _NEVER_PAIRS):
        return "unknown unit", words[0]
    return "no unit", noun
