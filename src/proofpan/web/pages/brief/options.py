"""An option as it is typed: its name and what it does to the recipe."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from proofpan.study.errors import StudyError
from proofpan.web.desk import Typed
from proofpan.web.pages.begin.pasted import steps_from
from proofpan.web.pages.begin.unsaid import split_names

NOTHING = "name only"
MISSING = {
    "swap": "Say what comes in its place, with its amount, such as 50 g olive oil.",
    "set": "Say to what it is set, such as 55 g, 190 C fan or 13.",
    "add": "Say what is added, with its amount, such as 10 g malt syrup.",
    "insert": "Say what is done in that step, such as: Rest, covered.",
}


def option_from(form: Typed, steps: Iterable[str] = ()) -> dict[str, Any]:
    """An option from its name and one edit; steps, the names that the recipe's steps have."""
    name, verb, target, to = form.get("name"), form.get("verb", NOTHING), form.get("target"), form.get("to")
    if not name:
        raise StudyError("Give the option a name, such as olive oil.", field="name")
    option: dict[str, Any] = {"name": name}
    edits: dict[str, dict[str, Any]] = {
        "swap": {"swap": target, "for": to},
        "set": {"set": target, "to": to},
        "add": {"add": to},
        "drop": {"drop": target},
        "insert": {"insert": steps_from([to], steps)[0] if to else {}, **({"after": target} if target else {})},
    }
    if verb in ("swap", "set", "drop") and not target:
        raise StudyError("Say which ingredient or step of the recipe it changes.", field="target")
    if verb in ("swap", "set", "add", "insert") and not to:
        raise StudyError(MISSING[verb], field="to")
    if verb in edits:
        option["edits"] = [edits[verb]]
    if form.get("contains"):
        option["contains"] = split_names(form.get("contains"))
    return option
