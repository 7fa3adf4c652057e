"""How units are spelt in ingredient lines, and the one neutral name of each."""

import re
from functools import cache

SPOONS = ("tsp", "tbsp", "dessertspoon", "cup")
_SPELLINGS = {
    # volumes
    "tsp": "tsp tsps tspn teaspoon teaspoons teasp teaspoonful teaspoonfuls",
    "tbsp": "tbl tbls tablespoonful tablespoonfuls tbsp tbsps tbs tb tblsp tblspn tbspn tablespoon tablespoons",
    "dessertspoon": "dsp dsps dstspn dessertspoon dessertspoons dsp",
    "cup": "cup cups cupful cupfuls",
    "pint": "pint pints pt pts",
    "quart": "quart quarts qt qts",
    "gallon": "gallon gallons gal gals",
    "gill": "gill gills",
    "ml": "ml mls millilitre millilitres milliliter milliliters cc",
    "cl": "cl centilitre centilitres centiliter centiliters",
    "dl": "dl decilitre decilitres deciliter deciliters",
    "l": "l lt ltr ltrs litre litres liter liters",
    "peck": "peck pecks",
    "bushel": "bushel bushels",
    # masses
    "mg": "mg milligram milligrams",
    "g": "g gr gm gms gram grams gramme grammes",
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
    "oz": "oz ozs ounce ounces",
    "lb": "lb lbs pound pounds",
    # counted things
    "clove": "clove cloves",
    "sprig": "sprig sprigs",
    "slice": "slice slices",
    "rasher": "rasher rashers",
    "strip": "strip strips",
    "leaf": "leaf leaves",
    "sheet": "sheet sheets",
    "stick": "stick sticks",
    "stalk": "stalk stalks",
    "rib": "rib ribs",
    "head": "head heads",
    "bulb": "bulb bulbs",
    "ear": "ear ears",
    "bunch": "bunch bunches",
    "block": "block blocks",
    "bar": "bar bars",
    "square": "square squares",
    "ball": "ball balls",
    "loaf": "loaf loaves",
    "piece": "piece pieces",
    "wedge": "wedge wedges",
    "fillet": "fillet fillets",
    "scoop": "scoop scoops",
    "knob": "knob knobs",
    "pinch": "pinch pinches",
    "dash": "dash dashes",
    "smidgen": "smidgen smidgens",
    "drop": "drop drops",
    "splash": "splash splashes",
    "drizzle": "drizzle drizzles",
    "glug": "glug glugs",
    "handful": "handful handfuls",
    "squeeze": "squeeze squeezes",
    "dollop": "dollop dollops",
    "grind": "grind grinds grinding",
    "sprinkle": "sprinkle sprinkling",
    "shake": "shake shakes",
    "thumb": "thumb thumbs",
    "cob": "cob cobs",
    "tot": "tot tots",
    "shot": "shot shots",
    "jigger": "jigger jiggers",
    "wineglass": "wineglass wineglasses",
    "spoon": "spoon spoons spoonful spoonfuls",
    "glass": "glass glasses",
    "mug": "mug mugs",
    "bowl": "bowl bowls",
    "katori": "katori katoris",
    "teacup": "teacup teacups",
    "each": "ea pc pcs nos",
    # containers
    "tin": "tin tins can cans",
    "jar": "jar jars",
    "bottle": "bottle bottles",
    "packet": "packet packets package packages pkg pkgs pkt pkts pack packs",
    "sachet": "sachet sachets envelope envelopes",
    "pouch": "pouch pouches",
    "bag": "bag bags",
    "box": "box boxes",
    "carton": "carton cartons",
    "tub": "tub tubs",
    "pot": "pot pots",
    "tube": "tube tubes",
    "punnet": "punnet punnets",
    "container": "container containers",
}
LOOSE = frozenset(
    ["knob", "pinch", "dash", "smidgen", "drop", "splash", "drizzle", "glug", "handful", "squeeze", "dollop", "grind", "sprinkle", "shake"]
)
CONTAINERS = frozenset(
    ["tin", "jar", "bottle", "packet", "sachet", "pouch", "bag", "box", "carton", "tub", "pot", "tube", "punnet", "container"]
)
SIZEABLE = CONTAINERS | frozenset(["piece", "knob", "block", "bar", "bunch", "head", "bulb", "loaf", "ball", "wedge", "sheet"])
VESSELS = frozenset(["glass", "mug", "bowl", "katori", "teacup", "spoon", "thumb", "tot", "shot", "jigger", "wineglass"])
VOLUMES = frozenset(
    ["tsp", "tbsp", "dessertspoon", "cup", "fl_oz", "pint", "quart", "gallon", "gill", "ml", "cl", "dl", "l", "peck", "bushel"]
)
WEIGHTS = frozenset(["mg", "g", "kg", "oz", "lb"])
METRIC = frozenset(["ml", "cl", "dl", "l", "mg", "g", "kg"])
LENGTHS = {
    "cm": "cm", "mm": "mm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "millimetre": "mm", "millimetres": "mm", "inch": "inch", "inches": "inch", "in": "inch",
}  # fmt: skip
SPLIT_SPOON = re.compile(r"(tea|table|dessert)\s+spoons?\b", re.IGNORECASE)
FLUID_OUNCE = re.compile(r"(?:fl\.?\s*oz|fluid\s+oz|fluid\s+ounce|fl\.?\s*ounce)s?\b\.?", re.IGNORECASE)
_FIXABLE = [
    "teaspoon",
    "teaspoons",
    "tablespoon",
    "tablespoons",
    "tbsp",
    "tsps",
    "cups",
    "ounces",
    "pounds",
    "grams",
    "millilitres",
    "litres",
    "kilogram",
]


@cache
def spelling_table() -> dict[str, str]:
    """Lower-case spelling → neutral unit."""
    return {word: unit for unit, words in _SPELLINGS.items() for word in words.split()}


def unit_of(word: str) -> str | None:
    """The neutral name of a unit as spelt, or None. A bare T is a tablespoon, a bare t a teaspoon, c a cup."""
    if word in ("T", "Tb", "Tbs"):
        return "tbsp"
    if word == "t":
        return "tsp"
    if word in ("c", "C"):
        return "cup"
    return spelling_table().get(word.lower())


def _one_slip_apart(a: str, b: str) -> bool:
    """One letter left out, doubled, changed, or two neighbours swapped."""
    if abs(len(a) - len(b)) > 1 or a == b:
        return False
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    rest_a, rest_b = a[start:], b[start:]
    if len(a) == len(b):
        swapped = len(rest_a) > 1 and rest_a[0] == rest_b[1] and rest_a[1] == rest_b[0] and rest_a[2:] == rest_b[2:]
        return swapped or rest_a[1:] == rest_b[1:]
    return rest_a[1:] == rest_b if len(a) > len(b) else rest_a == rest_b[1:]


def misspelt_unit(word: str) -> str | None:
    """The measure a misspelt word most likely is ("teasppon"), or None. Never for words a food could be."""
    low = word.lower()
    if len(low) < 4:
        return None
    for right in _FIXABLE:
        if low[0] == right[0] and _one_slip_apart(low, right):
            return spelling_table()[right]
    return None


_COUNTRY_WORDS = {
    "us": "US", "u.s.": "US", "american": "US", "uk": "UK", "british": "UK", "imperial": "UK", "english": "UK", "au": "AU",
    "australian": "AU", "nz": "NZ", "canadian": "CA", "irish": "IE", "indian": "IN", "metric": "metric", "eu": "metric",
}  # fmt: skip
_COUNTRY = re.compile(
    r"\b(?:US|U\.S\.|UK|AU|NZ|EU|[Aa]merican|[Bb]ritish|[Ii]mperial|[Aa]ustralian|[Cc]anadian|[Ii]rish|[Ii]ndian|[Mm]etric)"
    r"(?=\s+(?:level\s+)?(?:tsp|tbsp|tea|table|dessert|cup|fl|fluid|pint|quart|gallon|gill|oz|ounce|pt|qt|gal)|$)"
)


def read_country(text: str) -> tuple[str, str | None]:
    """The text without its country word, and the country."""
    found = _COUNTRY.search(text)
    if found is None:
        return text, None
    return " ".join((text[: found.start()] + text[found.end() :]).split()), _COUNTRY_WORDS[found[0].lower()]
