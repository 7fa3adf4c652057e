"""Energy for labels, and nutrients rounded as the EU and the US declare them."""

from decimal import ROUND_HALF_UP, Decimal

from proofpan.science.foods.food import FoodError

# kJ and kcal per gram, each with its own factor: Regulation (EU) No 1169/2011, Annex XIV
_EU_FACTORS = {
    "carbohydrate_g": (17, 4),
    "polyols_g": (10, 2.4),
    "protein_g": (17, 4),
    "fat_g": (37, 9),
    "salatrims_g": (25, 6),
    "alcohol_g": (29, 7),
    "organic_acids_g": (13, 3),
    "fibre_g": (8, 2),
    "erythritol_g": (0, 0),
}
SALT_PER_SODIUM = 2.5
"""Regulation (EU) No 1169/2011, Annex I point 11."""


def energy_label(
    *,
    carbohydrate_g: float = 0.0,
    polyols_g: float = 0.0,
    protein_g: float = 0.0,
    fat_g: float = 0.0,
    salatrims_g: float = 0.0,
    alcohol_g: float = 0.0,
    organic_acids_g: float = 0.0,
    fibre_g: float = 0.0,
    erythritol_g: float = 0.0,
) -> tuple[float, float]:
    """Energy as the EU declares it, kJ and kcal each by its own factors, not rounded.

    Parameters: grams of each part; carbohydrate leaves polyols, fibre and organic acids out; polyols leave erythritol out.
    Returns: (kJ, kcal).
    Raises: FoodError for a negative amount.
    Source: Regulation (EU) No 1169/2011, Annex XIV.
    """
    parts = {
        "carbohydrate_g": carbohydrate_g,
        "polyols_g": polyols_g,
        "protein_g": protein_g,
        "fat_g": fat_g,
        "salatrims_g": salatrims_g,
        "alcohol_g": alcohol_g,
        "organic_acids_g": organic_acids_g,
        "fibre_g": fibre_g,
        "erythritol_g": erythritol_g,
    }
    for name, grams in parts.items():
        if not grams >= 0:
            raise FoodError(f"{name} can't be {grams}: give a number of at least 0.")
    kj = sum(grams * _EU_FACTORS[name][0] for name, grams in parts.items())
    kcal = sum(grams * _EU_FACTORS[name][1] for name, grams in parts.items())
    return kj, kcal


def energy_general_factors_kcal(fat_g: float, carbohydrate_g: float, protein_g: float) -> float:
    """Energy by the US general factors 9, 4 and 4 kcal/g, of total carbohydrate.

    Source: 21 CFR 101.9(c)(1)(i)(B).
    """
    return 9 * fat_g + 4 * carbohydrate_g + 4 * protein_g


def salt_from_sodium_g(sodium_mg: float) -> float:
    """Grams of salt that sodium stands for on an EU label: sodium × 2.5."""
    return sodium_mg * SALT_PER_SODIUM / 1000


def _rounded(amount: float, step: str) -> str:
    """An amount to the nearest step ("0.1", "5"), halves away from zero, as text."""
    unit = Decimal(step)
    steps = (Decimal(repr(float(amount))) / unit).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return f"{steps * unit:f}"


def _checked(amount: float, nutrient: str) -> float:
    if not 0 <= amount < float("inf"):
        raise FoodError(f"{nutrient} can't be {amount}: give a number of at least 0.")
    return amount


# US nutrients: what the rule calls each kind
_US_KINDS = {
    "calories": "calories",
    "calories_from_saturated_fat": "calories",
    "total_fat": "fat",
    "saturated_fat": "fat",
    "trans_fat": "fat",
    "polyunsaturated_fat": "fat",
    "monounsaturated_fat": "fat",
    "cholesterol": "cholesterol",
    "sodium": "sodium",
    "potassium": "potassium",
    "total_carbohydrate": "gram",
    "dietary_fiber": "gram",
    "soluble_fiber": "gram",
    "insoluble_fiber": "gram",
    "total_sugars": "gram",
    "added_sugars": "gram",
    "sugar_alcohol": "gram",
    "protein": "gram",
    "vitamin_d": "micrograms of D",
    "calcium": "tens of mg",
    "iron": "tenths of mg",
}


def round_us(nutrient: str, amount: float, unit: str | None = None) -> str:
    """A nutrient per serving as the US declares it: "0", "2.5", "less than 1", "140".

    Parameters: nutrient, as the label names it ("total_fat", "dietary_fiber", "calories" …, spaces allowed); amount, in
    kcal, g or mg as usual for it; unit, "g" or "mg" where it is another.
    Raises: FoodError for a nutrient or unit that the rule doesn't know, or a negative amount.
    Source: 21 CFR 101.9(c); FDA Food Labeling Guide, appendix H (rounding).
    """
    word = nutrient.strip().lower().replace(" ", "_").replace("fibre", "fiber").replace("carbohydrates", "carbohydrate")
    aliases = {"fat": "total_fat", "energy": "calories", "saturates": "saturated_fat", "carbohydrate": "total_carbohydrate"}
    aliases |= {"fiber": "dietary_fiber", "sugars": "total_sugars", "kcal": "calories"}
    kind = _US_KINDS.get(aliases.get(word, word))
    if kind is None:
        raise FoodError(f'"{nutrient}" has no US rounding rule here: use one of {", ".join(sorted(_US_KINDS))}.')
    usual = {"calories": "kcal", "fat": "g", "gram": "g", "micrograms of D": "mcg"}.get(kind, "mg")
    amount = _in_unit(_checked(amount, nutrient), unit, usual, nutrient)
    if kind == "calories":
        return "0" if amount < 5 else _rounded(amount, "5" if amount <= 50 else "10")
    if kind == "fat":
        return "0" if amount < 0.5 else _trimmed(_rounded(amount, "0.5")) if amount < 5 else _rounded(amount, "1")
    if kind == "cholesterol":
        return "0" if amount < 2 else "less than 5" if amount < 5 else _rounded(amount, "5")
    if kind in ("sodium", "potassium"):
        return "0" if amount < 5 else _rounded(amount, "5" if amount <= 140 else "10")
    if kind == "gram":
        return "0" if amount < 0.5 else "less than 1" if amount < 1 else _rounded(amount, "1")
    return _trimmed(_rounded(amount, {"micrograms of D": "0.1", "tenths of mg": "0.1", "tens of mg": "10"}[kind]))


def _trimmed(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _in_unit(amount: float, unit: str | None, usual: str, nutrient: str) -> float:
    if unit is None or unit == usual or (usual == "mcg" and unit in ("µg", "ug")):
        return amount
    per_usual = {("g", "mg"): 1000.0, ("mg", "g"): 0.001}.get((unit, usual))
    if per_usual is None:
        raise FoodError(f'{nutrient} can\'t be in "{unit}": give {usual}.')
    return amount * per_usual


def round_eu(nutrient: str, amount_per_100_g: float) -> str:
    """A nutrient per 100 g or 100 mL as the EU declares it: "12", "3.5", "<0.5", "<0.01".

    Parameters: nutrient, one of energy_kj, energy_kcal, fat, saturates, mono-unsaturates, polyunsaturates, carbohydrate,
    sugars, polyols, starch, fibre, protein, salt.
    Raises: FoodError for another nutrient or a negative amount.
    Source: European Commission, guidance on tolerances for nutrient values (December 2012), rounding table: energy to
    1; fat, carbohydrate, sugars, protein, fibre, polyols and starch to 1 g from 10 g, to 0.1 g below, ≤ 0.5 g as "<0.5";
    saturates and the other fatty acids the same with ≤ 0.1 g as "<0.1"; salt to 0.1 g from 1 g, to 0.01 g below,
    ≤ 0.0125 g as "<0.01".
    """
    word = nutrient.strip().lower().replace(" ", "_").removesuffix("_g")
    amount = _checked(amount_per_100_g, nutrient)
    if word in ("energy_kj", "energy_kcal", "energy"):
        return _rounded(amount, "1")
    if word == "salt":
        if amount <= 0.0125:
            return "<0.01"
        finer = _rounded(amount, "0.01")
        return _rounded(amount, "0.1") if float(finer) >= 1 else finer
    if word in ("fat", "carbohydrate", "sugars", "polyols", "starch", "fibre", "protein"):
        least = 0.5
    elif word in ("saturates", "mono-unsaturates", "monounsaturates", "polyunsaturates"):
        least = 0.1
    else:
        raise FoodError(f'"{nutrient}" has no EU rounding rule here: use fat, saturates, carbohydrate, sugars … salt.')
    if amount <= least:
        return f"<{least:g}"
    finer = _rounded(amount, "0.1")
    return _rounded(amount, "1") if float(finer) >= 10 else finer
