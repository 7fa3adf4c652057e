"""Quantities: units by country, ingredient lines, conversion with its steps, strengths, and what a source really meant.

`lines.parse_line` reads a line and `faults.check_line` says why one can't stand; `conversion.convert` and `claims.check` show
their steps; `countries`, `oven`, `pans`, `concentrations`, `solutions` and `weighing` hold the arithmetic. Facts are in
kitchen.txt, vocabulary.txt and the CSV tables, each row with its source. Each part is imported when it is first asked for, so
that it costs only what it needs.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .claims import ClaimResult, check
    from .conversion import Conversion, convert
    from .errors import QuantityError
    from .faults import LineFault, check_line
    from .lines import ParsedLine, parse_line

_HOME = {
    "ClaimResult": "claims", "check": "claims", "Conversion": "conversion", "convert": "conversion", "QuantityError": "errors",
    "LineFault": "faults", "check_line": "faults", "ParsedLine": "lines", "parse_line": "lines",
}

__all__ = ["ClaimResult", "Conversion", "LineFault", "ParsedLine", "QuantityError", "check", "check_line", "convert", "parse_line"]


def __getattr__(name: str) -> Any:
    """Import a name's part when it is first used (PEP 562)."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_HOME[name]}", __name__), name)
