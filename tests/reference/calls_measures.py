"""Reference calls of topic measures."""

from proofpan.science.measures import amounts, concentrations, countries, oven, pans, solutions


def _concentration(i):
    solute, liquid = i["solute"], i["per_liquid"]
    g_per_l, w_v = concentrations.concentration_g_per_l(
        solute["amount"] * solute["grams_per_unit"],
        countries.volume_ml(liquid["amount"], liquid["unit"], liquid["country"]),
    )
    return {"g_per_l": g_per_l, "percent_w_v": w_v}


def _claim(i):
    s, p = i["source"], i["planned"]
    volume = countries.volume_ml(s["per_amount"], s["per_unit"], s["per_country"])
    source, _ = concentrations.concentration_g_per_l(s["amount"] * s["grams_per_unit"], volume)
    got = concentrations.claim_multiple(source, p["grams"], p["litres"])
    return {"source_g_per_l": got.source_g_per_l, "planned_g_per_l": got.planned_g_per_l, "multiple": got.multiple}


def _brine(i):
    got = concentrations.brine_percent(**i)
    return {name: getattr(got, name) for name in got.__slots__}


def _named(*names):
    return lambda values: dict(zip(names, values, strict=True))


ADAPTERS = {
    "measures.volume_ml": lambda i: {"volume_ml": countries.volume_ml(i["amount"], i["unit"], i["country"])},
    "measures.mass_g": lambda i: {"mass_g": countries.mass_g(i["amount"], i["unit"], i.get("country"))},
    "measures.temperature": lambda i: {"value": oven.temperature(**i)},
    "measures.temperature_difference": lambda i: {"value": oven.temperature_difference(**i)},
    "measures.gas_mark": lambda i: _named("temperature_c", "temperature_f")(oven.gas_mark(i["gas_mark"])),
    "measures.gas_mark_for_c": lambda i: {"gas_mark": oven.gas_mark_for_c(**i)},
    "measures.fan_oven_c": lambda i: {"fan_c": oven.fan_oven_c(**i)},
    "measures.concentration_g_per_l": _concentration,
    "measures.claim_multiple": _claim,
    "measures.brine_percent": _brine,
    "measures.bakers_percent": lambda i: _named("percent", "total_percent")(concentrations.bakers_percent(**i)),
    "measures.hydration_percent": lambda i: {
        "hydration_percent": concentrations.hydration_percent(
            i["flour_g"], {name: (x["mass_g"], x["water_fraction"]) for name, x in i["liquids"].items()}
        )
    },
    "measures.brix": lambda i: {"brix": concentrations.brix(**i)},
    "measures.sucrose_solution_density_g_per_ml": lambda i: {"density_g_per_ml": solutions.sucrose_solution_density_g_per_ml(**i)},
    "measures.sodium_chloride_solution_density_g_per_ml": lambda i: {
        "density_g_per_ml": solutions.sodium_chloride_solution_density_g_per_ml(**i)
    },
    "measures.percent_w_w_to_g_per_l": lambda i: {"g_per_l": concentrations.percent_w_w_to_g_per_l(**i)},
    "measures.ppm": lambda i: {"ppm_w_w": concentrations.ppm(**i)},
    "measures.dilute": lambda i: {"water_to_add_g": concentrations.dilute(**i)},
    "measures.pan_area_factor": lambda i: {"factor": pans.pan_area_factor(i["from"], i["to"])},
    "measures.parse_amount": lambda i: _named("low", "high")(amounts.parse_amount(i["text"])),
    "measures.mass_from_volume_g": lambda i: {"mass_g": countries.mass_from_volume_g(**i)},
}
