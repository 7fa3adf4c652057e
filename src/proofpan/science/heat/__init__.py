"""Heat: what a food is to heat, how a piece warms, when it is done, and how sure that is in another kitchen."""

from .components import FoodProperties, component_property, composition_fractions, food_property, ice_fraction
from .doneness import TOGETHER, Target, Window, core_target, target, targets, wanted_targets, window
from .errors import HeatError
from .fit import PARAMETERS as FIT_PARAMETERS
from .fit import Estimate, OvenFit, fit_log
from .forgiveness import Dish, Forgiveness, Kitchens, forgiveness, sentences, with_out_times
from .lethality import d_value_minutes, equivalent_minutes, log10_reduction
from .march import Cooked, cook
from .material import Material, constant_material, food_material
from .piece import Piece, piece_of
from .safety import CAUTION, Hold, SafeTemperature, authorities, poultry_hold_minutes, roast_hold_minutes, safe_temperature_c
from .series import (
    brick_temperature_c,
    cylinder_theta,
    eigenvalues,
    finite_cylinder_temperature_c,
    fourier_to_reach,
    lumped_temperature_c,
    mean_theta,
    one_term_coefficients,
    semi_infinite_fraction,
    slab_theta,
    sphere_theta,
    theta,
)
from .stages import Stage, StageKind, stage, stage_kinds
from .steam import boiling_point_at_pressure_c, boiling_point_c, saturation_pressure_kpa, standard_pressure_kpa
from .transfer import nusselt, radiation_coefficient_w_m2k
from .unsuited import NO_SUM, refuse_unsuited

__all__ = [
    "CAUTION",
    "FIT_PARAMETERS",
    "NO_SUM",
    "TOGETHER",
    "Cooked",
    "Dish",
    "Estimate",
    "FoodProperties",
    "Forgiveness",
    "HeatError",
    "Hold",
    "Kitchens",
    "Material",
    "OvenFit",
    "Piece",
    "SafeTemperature",
    "Stage",
    "StageKind",
    "Target",
    "Window",
    "authorities",
    "boiling_point_at_pressure_c",
    "boiling_point_c",
    "brick_temperature_c",
    "component_property",
    "composition_fractions",
    "constant_material",
    "cook",
    "core_target",
    "cylinder_theta",
    "d_value_minutes",
    "eigenvalues",
    "equivalent_minutes",
    "finite_cylinder_temperature_c",
    "fit_log",
    "food_material",
    "food_property",
    "forgiveness",
    "fourier_to_reach",
    "ice_fraction",
    "log10_reduction",
    "lumped_temperature_c",
    "mean_theta",
    "nusselt",
    "one_term_coefficients",
    "piece_of",
    "poultry_hold_minutes",
    "radiation_coefficient_w_m2k",
    "refuse_unsuited",
    "roast_hold_minutes",
    "safe_temperature_c",
    "saturation_pressure_kpa",
    "semi_infinite_fraction",
    "sentences",
    "slab_theta",
    "sphere_theta",
    "stage",
    "stage_kinds",
    "standard_pressure_kpa",
    "target",
    "targets",
    "theta",
    "wanted_targets",
    "window",
    "with_out_times",
]
