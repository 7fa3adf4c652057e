"""Reference adapters for the pantry: each hands the case's inputs to one public function."""

from proofpan.science import foods


def _found(name):
    food = foods.look_up(name)
    if food is None:
        raise LookupError(f"not in the pantry: {name}")
    return food


def composition(i):
    c = _found(i["food"]).composition
    return {
        "water_g": c.water_g,
        "protein_g": c.protein_g,
        "fat_g": c.fat_g,
        "saturates_g": c.saturates_g,
        "carbohydrate_available_g": c.carbohydrate_g,
        "fibre_g": c.fibre_g,
        "energy_kcal": c.energy_kcal,
    }


def mass(i):
    got = foods.mass_g(i["food"], i["amount"], i["unit"], i.get("state"), i.get("country"))
    return {"mass_g": got[0]}


def allergen_list(i):
    if i["regime"] == "EU-threshold-sulphites-mg-per-kg":
        return {"threshold_mg_per_kg": foods.SULPHITES_MG_PER_KG}
    listed = foods.allergen_list(i["regime"])
    return {"allergens": list(listed), "count": len(listed)}


def allergens(i):
    return {"eu": sorted(foods.allergens([i["food"]], "EU")), "us": sorted(foods.allergens([i["food"]], "US"))}


ADAPTERS = {
    "foods.composition_per_100_g": composition,
    "foods.salt_per_100_g": lambda i: {"salt_g": _found(i["food"]).composition.salt_g},
    "foods.mass_g": mass,
    "foods.density_g_per_ml": lambda i: {"density_g_per_ml": foods.density_g_per_ml(i["food"])[0]},
    "foods.edible_portion_percent": lambda i: {"edible_portion_percent": _found(i["food"]).edible_portion_percent},
    "foods.allergen_list": allergen_list,
    "foods.allergens": allergens,
    "foods.smoke_point_c": lambda i: {"smoke_point_c": _found(i["fat"]).smoke_point_c},
}
