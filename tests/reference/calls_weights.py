"""Reference calls of topic weights."""

from dataclasses import asdict

from proofpan.science.measures import weighing


def _named(*names):
    return lambda values: dict(zip(names, values, strict=True))


ADAPTERS = {
    "weights.yield_percent": lambda i: _named("yield_percent", "trim_loss_g")(weighing.yield_percent(**i)),
    "weights.as_purchased_g": lambda i: {"as_purchased_g": weighing.as_purchased_g(**i)},
    "weights.edible_portion_g": lambda i: {"edible_portion_g": weighing.edible_portion_g(**i)},
    "weights.edible_portion_cost_per_kg": lambda i: {"edible_portion_cost_per_kg": weighing.edible_portion_cost_per_kg(**i)},
    "weights.portion_cost": lambda i: _named("batch_cost", "portion_cost")(
        weighing.portion_cost([(x["mass_g"], x["cost_per_kg"]) for x in i["items"]], i["portions"])
    ),
    "weights.conversion_factor": lambda i: {"factor": weighing.conversion_factor(**i)},
    "weights.cooking_loss_percent": lambda i: asdict(weighing.cooking_loss_percent(**i)),
    "weights.net_weight_g": lambda i: _named("net_g", "standard_uncertainty_g")(weighing.net_weight_g(**i)),
    "weights.repeat_weighing": lambda i: asdict(weighing.repeat_weighing(**i)),
    "weights.scale_is_fine_enough": lambda i: _named("relative_half_width", "fine_enough")(weighing.scale_is_fine_enough(**i)),
}
