"""Maps each reference `call` to one public function: adapters keyed by call, gathered from one file a topic.

A topic's file `calls_TOPIC.py` beside this one holds `ADAPTERS: dict[str, Callable[[dict], object]]`; each callable gets the case's
`inputs` and returns what `expected` describes.
"""

import importlib
import pkgutil
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).parent


class AtLeast(float):
    """A value found where the case names the least that it must be."""


class AtMost(float):
    """A value found where the case names the most that it may be."""


def gather() -> dict[str, Callable[[dict], object]]:
    """Every adapter of the calls_*.py files; two files that name one call are an error."""
    found: dict[str, Callable[[dict], object]] = {}
    for module in pkgutil.iter_modules([str(HERE)]):
        if not module.name.startswith("calls_"):
            continue
        for call, adapter in importlib.import_module(f"{__package__}.{module.name}").ADAPTERS.items():
            if call in found:
                raise ValueError(f"{call} has two adapters")
            found[call] = adapter
    return found
