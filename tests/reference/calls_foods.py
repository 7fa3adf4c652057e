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


def energy_label(i):
    parts = {name: value for name, value in i.items() if name != "rules"}
    kj, kcal = foods.energy_label(**parts)
    return {"energy_kj": kj, "energy_kcal": kcal}


def leftover(i):
    neutralised, left, gas = foods.leftover_soda_g(i["soda_g"], i["acid_g"], i["neutralising_value"])
    return {"neutralised_g": neutralised, "leftover_g": left, "carbon_dioxide_g": gas}


def soda_neutralised(i):
    acid = (i["acid_percent"], i["acid_molar_mass_g"], i["acid_equivalents"])
    return {"soda_g": foods.soda_neutralised_g(i["mass_g"], *acid)}


def recipe(i):
    lines = [(line["mass_g"], line["energy_kcal_per_100_g"]) for line in i["ingredients"]]
    batch, per_100_g = foods.recipe_energy_kcal(lines, i["final_mass_g"])
    return {"batch_energy_kcal": batch, "energy_kcal_per_100_g": per_100_g}


ADAPTERS = {
    "foods.composition_per_100_g": composition,
    "foods.salt_per_100_g": lambda i: {"salt_g": _found(i["food"]).composition.salt_g},
    "foods.mass_g": mass,
    "foods.density_g_per_ml": lambda i: {"density_g_per_ml": foods.density_g_per_ml(i["food"])[0]},
    "foods.edible_portion_percent": lambda i: {"edible_portion_percent": _found(i["food"]).edible_portion_percent},
    "foods.allergen_list": allergen_list,
    "foods.allergens": allergens,
    "foods.smoke_point_c": lambda i: {"smoke_point_c": _found(i["fat"]).smoke_point_c},
    "foods.energy_label": energy_label,
    "foods.energy_general_factors_kcal": lambda i: {"energy_kcal": foods.energy_general_factors_kcal(**i)},
    "foods.salt_from_sodium_g": lambda i: {"salt_g": foods.salt_from_sodium_g(**i)},
    "foods.round_us": lambda i: {"declared": foods.round_us(**i)},
    "foods.round_eu": lambda i: {"declared": foods.round_eu(**i)},
    "foods.acrylamide_benchmark_ug_per_kg": lambda i: {"benchmark_ug_per_kg": foods.acrylamide_benchmark_ug_per_kg(i["category"])},
    "foods.bicarbonate_ph": lambda i: {"ph": foods.bicarbonate_ph(**i)},
    "foods.carbonate_ph": lambda i: {"ph": foods.carbonate_ph(**i)},
    "foods.neutralising_value": lambda i: {"neutralising_value": foods.neutralising_value(i["acid"])},
    "foods.leftover_soda_g": leftover,
    "foods.soda_neutralised_g": soda_neutralised,
    "foods.nutrient_after_cooking": lambda i: {"cooked_per_100_g": foods.nutrient_after_cooking(**i)},
    "foods.recipe_per_100_g": recipe,
    "foods.water_activity_nacl": lambda i: {"water_activity": foods.water_activity_nacl(**i)},
    "foods.water_activity_sucrose": lambda i: {"water_activity": foods.water_activity_sucrose(**i)},
}
