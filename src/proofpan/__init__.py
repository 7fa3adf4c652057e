"""proofpan: prove the recipe before you publish it.

The names below are the public face; each is imported only when it is first asked for, so that importing proofpan costs nothing.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any

__version__ = "0.1.0"

_HOME = {
    "Study": "proofpan.study.study",
    "Version": "proofpan.study.versions",
    "Round": "proofpan.study.rounds",
    "Verdict": "proofpan.study.verdict",
    "Edition": "proofpan.study.edition",
    "ProofpanError": "proofpan.study.errors",
    "StudyError": "proofpan.study.errors",
    "TrialError": "proofpan.study.errors",
    "BallotError": "proofpan.study.errors",
    "QuantityError": "proofpan.study.errors",
    "DayError": "proofpan.study.errors",
    "NotReady": "proofpan.study.errors",
    "schema": "proofpan.study.loading",
    "compare": "proofpan.steps.quick",
    "next_round": "proofpan.steps.rounds",
    "judge": "proofpan.steps.verdict",
    "dry_run": "proofpan.steps.dry_run",
    "tie_break": "proofpan.steps.tie_break",
    "convert": "proofpan.steps.quantities",
    "parse_line": "proofpan.steps.quantities",
    "check_claim": "proofpan.steps.claims",
    "recipe": "proofpan.steps.recipe",
    "audit": "proofpan.steps.audit",
    "plan_day": "proofpan.steps.day",
    "publish": "proofpan.steps.edition",
    "cross_test": "proofpan.steps.crosstest",
    "import_scores": "proofpan.steps.importing",
}

__all__ = [
    "__version__",
    "Study",
    "Version",
    "Round",
    "Verdict",
    "Edition",
    "ProofpanError",
    "StudyError",
    "TrialError",
    "BallotError",
    "QuantityError",
    "DayError",
    "NotReady",
    "schema",
    "compare",
    "next_round",
    "judge",
    "dry_run",
    "tie_break",
    "convert",
    "parse_line",
    "check_claim",
    "recipe",
    "audit",
    "plan_day",
    "publish",
    "cross_test",
    "import_scores",
]


def __getattr__(name: str) -> Any:
    """Import a public name when it is first used (PEP 562)."""
    if name not in _HOME:
        raise AttributeError(f"module 'proofpan' has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(_HOME[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)


class _Front(ModuleType):
    """The public face: where a room of the house bears a public name (publish), the name stays the verb when the room is imported."""

    def __setattr__(self, name: str, value: Any) -> None:
        if not (name in _HOME and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Front
