"""Panels: difference tests, ranks, choices, agreement, serving orders and codes. Numbers in, numbers out."""

from .codes import three_digit_codes
from .discrimination import (
    CHANCE,
    DiscriminationTest,
    Power,
    SampleSize,
    chance_of,
    clopper_pearson,
    discrimination_test,
    maximum_correct_similar,
    minimum_correct,
    odds_right,
    power,
    sample_size,
)
from .errors import PanelError
from .orders import ServingOrders, balanced_days, orders_in_blocks, serving_orders

__all__ = [
    "CHANCE",
    "DiscriminationTest",
    "PanelError",
    "Power",
    "SampleSize",
    "ServingOrders",
    "balanced_days",
    "chance_of",
    "clopper_pearson",
    "discrimination_test",
    "maximum_correct_similar",
    "minimum_correct",
    "odds_right",
    "orders_in_blocks",
    "power",
    "sample_size",
    "serving_orders",
    "three_digit_codes",
]
