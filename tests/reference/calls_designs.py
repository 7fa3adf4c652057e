"""Adapters of the designs topic."""

from dataclasses import asdict

from proofpan.science import designs
from tests.reference.adapters import AtLeast, AtMost


def pattern(design):
    return {str(length): count for length, count in enumerate(design.word_length_pattern, start=1)}


def fraction(design):
    return {
        "runs": design.runs,
        "resolution": design.resolution,
        "defining_words": list(design.defining_words),
        "word_length_pattern": pattern(design),
    }


def aliases(i):
    design = designs.fractional_factorial(i["factors"], i["generators"])
    return {effect: set(others) for effect, others in design.aliases(i["of_order"], i["up_to_order"]).items()}


def plackett_burman(i):
    return asdict(designs.plackett_burman(i["runs"], i["factors"]))


def d_optimal(i):
    """The case names bounds of the efficiency that is reached."""
    found = designs.d_optimal(i["levels"], i["runs"], i["model"], seed=i["seed"])
    return {"best_possible_d_efficiency": AtMost(found.d_efficiency), "at_least": AtLeast(found.d_efficiency)}


ADAPTERS = {
    "designs.full_factorial": lambda i: {"runs": designs.full_factorial(i["levels"]).runs},
    "designs.fractional_factorial": lambda i: fraction(designs.fractional_factorial(i["factors"], i["generators"])),
    "designs.aliases": aliases,
    "designs.minimum_aberration": lambda i: fraction(designs.minimum_aberration(i["factors"], i["runs"])),
    "designs.plackett_burman": plackett_burman,
    "designs.d_efficiency": lambda i: asdict(designs.d_efficiency(i["design"], i["model"])),
    "designs.d_optimal": d_optimal,
    "designs.balanced_incomplete_blocks": lambda i: asdict(
        designs.balanced_incomplete_blocks(i["samples"], i["block_size"], i["blocks"])
    ),
    "designs.block_balance": lambda i: asdict(designs.block_balance(i["blocks"], i["samples"])),
}
