"""Reference adapters for heat: each hands the case's inputs to one public function."""

from proofpan.science import heat, probe


def food_property(i):
    got = heat.food_property(i["mass_fractions"], i["temperature_c"], i.get("porosity") or 0.0)
    return {
        "density_kg_m3": got.density_kg_m3,
        "conductivity_w_mk": got.conductivity_w_mk,
        "specific_heat_j_kgk": got.specific_heat_j_kgk,
    }


def one_term(i):
    zeta, c = heat.one_term_coefficients(i["shape"], i["biot"])
    return {"eigenvalue_1": zeta, "coefficient_1": c}


def d_value(i):
    d = heat.d_value_minutes(i["d_reference_minutes"], i["reference_c"], i["z_c"], i["temperature_c"])
    hold = i.get("hold_minutes")
    return {"d_minutes": d, "log10_reduction": None if hold is None else heat.log10_reduction(d, hold)}


def safe_temperature(i):
    got = heat.safe_temperature_c(i["food"], i["authority"])
    return {"temperature_c": got.temperature_c, "hold_s": got.hold_s}


def boiling_point(i):
    return {
        "boiling_point_c": heat.boiling_point_c(i["altitude_m"]).item(),
        "pressure_kpa": heat.standard_pressure_kpa(i["altitude_m"]).item(),
    }


def of(function, key):
    """An adapter for a function whose arguments bear the inputs' names."""

    def run(i):
        got = function(**i)
        return {key: got.item() if getattr(got, "ndim", None) == 0 else got}

    return run


ADAPTERS = {
    "heat.component_property": of(heat.component_property, "value"),
    "heat.food_property": food_property,
    "heat.one_term_coefficients": one_term,
    "heat.eigenvalues": of(heat.eigenvalues, "eigenvalues"),
    "heat.slab_theta": of(heat.slab_theta, "theta"),
    "heat.cylinder_theta": of(heat.cylinder_theta, "theta"),
    "heat.sphere_theta": of(heat.sphere_theta, "theta"),
    "heat.mean_theta": of(heat.mean_theta, "theta_mean"),
    "heat.brick_temperature_c": of(heat.brick_temperature_c, "temperature_c"),
    "heat.finite_cylinder_temperature_c": of(heat.finite_cylinder_temperature_c, "temperature_c"),
    "heat.fourier_to_reach": lambda i: {"fourier": heat.fourier_to_reach(i["shape"], i["biot"], i["position"], i["theta"])},
    "heat.semi_infinite_fraction": of(heat.semi_infinite_fraction, "fraction_of_step"),
    "heat.lumped_temperature_c": of(heat.lumped_temperature_c, "temperature_c"),
    "heat.lethality_minutes": of(probe.lethality_minutes, "equivalent_minutes"),
    "heat.d_value_minutes": d_value,
    "heat.poultry_hold_minutes": lambda i: {"hold_minutes": heat.poultry_hold_minutes(**i).hold_minutes},
    "heat.roast_hold_minutes": lambda i: {"hold_minutes": heat.roast_hold_minutes(**i).hold_minutes},
    "heat.safe_temperature_c": safe_temperature,
    "heat.cooling_meets_food_code": lambda i: {"meets": probe.cooling_check(i["times_h"], i["temperatures_c"]).meets},
    "heat.saturation_pressure_kpa": of(heat.saturation_pressure_kpa, "pressure_kpa"),
    "heat.boiling_point_c": boiling_point,
    "heat.boiling_point_at_pressure_c": of(heat.boiling_point_at_pressure_c, "boiling_point_c"),
    "heat.nusselt": of(heat.nusselt, "nusselt"),
    "heat.radiation_coefficient_w_m2k": of(heat.radiation_coefficient_w_m2k, "heat_transfer_w_m2k"),
}
