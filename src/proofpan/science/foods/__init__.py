"""The pantry: names by country, composition, density, household weights, allergens, and what follows from them."""

from proofpan.science.foods.acrylamide import acrylamide_benchmark_ug_per_kg
from proofpan.science.foods.allergens import (
    EU_14,
    SULPHITES_MG_PER_KG,
    US_9,
    allergen_list,
    allergens,
    allergens_of,
)
from proofpan.science.foods.amounts import density_g_per_ml, mass_g, volume_ml
from proofpan.science.foods.cooked import Share, alcohol_kept, cooked_water, mass_at_water, usual_yield
from proofpan.science.foods.food import COUNTRIES, Composition, Food, FoodError, Portion, cautions, pantry, varieties
from proofpan.science.foods.labels import (
    energy_general_factors_kcal,
    energy_label,
    round_eu,
    round_us,
    salt_from_sodium_g,
)
from proofpan.science.foods.leavening import (
    bicarbonate_ph,
    boiled_soda_ph,
    carbonate_ph,
    leftover_soda_g,
    neutralising_value,
    soda_neutralised_g,
    stoichiometric_value,
)
from proofpan.science.foods.lookup import look_up, meanings, names_known, near_names, own_food, regional_pairs, rename
from proofpan.science.foods.nutrition import (
    Nutrients,
    Nutrition,
    nutrient_after_cooking,
    nutrition,
    recipe_energy_kcal,
)
from proofpan.science.foods.water_activity import water_activity_nacl, water_activity_sucrose

__all__ = [
    "COUNTRIES",
    "EU_14",
    "SULPHITES_MG_PER_KG",
    "US_9",
    "Composition",
    "Food",
    "FoodError",
    "Nutrients",
    "Nutrition",
    "Portion",
    "Share",
    "acrylamide_benchmark_ug_per_kg",
    "alcohol_kept",
    "allergen_list",
    "allergens",
    "allergens_of",
    "bicarbonate_ph",
    "boiled_soda_ph",
    "carbonate_ph",
    "cautions",
    "cooked_water",
    "density_g_per_ml",
    "energy_general_factors_kcal",
    "energy_label",
    "leftover_soda_g",
    "look_up",
    "mass_at_water",
    "mass_g",
    "meanings",
    "names_known",
    "near_names",
    "neutralising_value",
    "nutrient_after_cooking",
    "nutrition",
    "own_food",
    "pantry",
    "recipe_energy_kcal",
    "regional_pairs",
    "rename",
    "round_eu",
    "round_us",
    "salt_from_sodium_g",
    "soda_neutralised_g",
    "stoichiometric_value",
    "usual_yield",
    "varieties",
    "volume_ml",
    "water_activity_nacl",
    "water_activity_sucrose",
]
