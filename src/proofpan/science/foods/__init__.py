"""The pantry: names by country, composition, density, household weights, allergens, and what follows from them."""

from proofpan.science.foods.allergens import SULPHITES_MG_PER_KG, allergen_list, allergens, allergens_of
from proofpan.science.foods.amounts import density_g_per_ml, mass_g
from proofpan.science.foods.food import COUNTRIES, Composition, Food, FoodError, Portion, pantry
from proofpan.science.foods.lookup import look_up, own_food, rename

__all__ = [
    "COUNTRIES",
    "Composition",
    "Food",
    "FoodError",
    "Portion",
    "SULPHITES_MG_PER_KG",
    "allergen_list",
    "allergens",
    "allergens_of",
    "density_g_per_ml",
    "look_up",
    "mass_g",
    "own_food",
    "pantry",
    "rename",
]
