"""Panels: difference tests, ranks, choices, agreement, serving orders and codes. Numbers in, numbers out."""

from .agreement import Correlation, IntraclassCorrelation, intraclass_correlation
from .choice_sets import ChoiceSet, choice_sets, pair_orders, triangle_orders
from .choices import BradleyTerry, CochranQ, bradley_terry, cochran_q
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
from .exact_ranks import friedman_exact_p, page_critical, page_exact_p, rank_range_critical
from .just_right import PenaltyAnalysis, penalty_analysis
from .orders import ServingOrders, balanced_days, orders_in_blocks, serving_orders
from .paired_scores import MeanScore, PairedDifference, mean_score, paired_difference
from .ranks import (
    Durbin,
    Friedman,
    KendallW,
    Page,
    RankDifferences,
    durbin,
    friedman,
    kendall_w,
    page,
    rank_differences,
)
from .thurstone import DPrime, dprime, proportion_correct

__all__ = [
    "BradleyTerry",
    "CHANCE",
    "ChoiceSet",
    "CochranQ",
    "Correlation",
    "DPrime",
    "DiscriminationTest",
    "Durbin",
    "Friedman",
    "IntraclassCorrelation",
    "KendallW",
    "MeanScore",
    "Page",
    "PairedDifference",
    "PanelError",
    "PenaltyAnalysis",
    "Power",
    "RankDifferences",
    "SampleSize",
    "ServingOrders",
    "balanced_days",
    "bradley_terry",
    "chance_of",
    "choice_sets",
    "clopper_pearson",
    "cochran_q",
    "discrimination_test",
    "dprime",
    "durbin",
    "friedman",
    "friedman_exact_p",
    "intraclass_correlation",
    "kendall_w",
    "maximum_correct_similar",
    "mean_score",
    "minimum_correct",
    "odds_right",
    "orders_in_blocks",
    "page",
    "page_critical",
    "page_exact_p",
    "pair_orders",
    "paired_difference",
    "penalty_analysis",
    "power",
    "proportion_correct",
    "rank_differences",
    "rank_range_critical",
    "sample_size",
    "serving_orders",
    "three_digit_codes",
    "triangle_orders",
]
