"""Designs the classical way: factorials, screening, optimal and split-plot designs, incomplete blocks."""

from .aberration import minimum_aberration
from .blocks import BlockBalance, block_balance
from .efficiency import DEfficiency, best_possible, d_efficiency, model_matrix
from .errors import DesignError
from .factorial import FractionalFactorial, FullFactorial, Word, fractional_factorial, full_factorial
from .incomplete import BalancedIncompleteBlocks, IncompleteBlocks, balanced_incomplete_blocks, incomplete_blocks
from .optimal import DOptimal, d_optimal, d_optimal_split_plot
from .screening import PlackettBurman, plackett_burman
from .wording import aliasing_in_words, untold

__all__ = [
    "BalancedIncompleteBlocks",
    "BlockBalance",
    "DEfficiency",
    "DOptimal",
    "DesignError",
    "FractionalFactorial",
    "FullFactorial",
    "IncompleteBlocks",
    "PlackettBurman",
    "Word",
    "aliasing_in_words",
    "balanced_incomplete_blocks",
    "best_possible",
    "block_balance",
    "d_efficiency",
    "d_optimal",
    "d_optimal_split_plot",
    "fractional_factorial",
    "full_factorial",
    "incomplete_blocks",
    "minimum_aberration",
    "model_matrix",
    "plackett_burman",
    "untold",
]
