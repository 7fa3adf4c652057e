"""What is to be tried, as it is typed beside a pasted recipe: the first thing that varies, and the question it asks."""

from __future__ import annotations

from typing import Any

from proofpan.science.measures import parse_line
from proofpan.web.pages.begin.unsaid import ANOTHER, PLACEHOLDER_QUESTION, UNSAID


def first_factor(idea: str, instead: str) -> tuple[dict[str, Any], str]:
    """(the factor, the question). An option is called by its food, not by its amount: "olive oil", not "50 g olive oil"."""
    if not idea and not instead:
        return {"name": UNSAID, "options": [{"name": "as written"}, {"name": ANOTHER}]}, PLACEHOLDER_QUESTION
    food = _food(idea)
    if not instead and idea[:1].isdigit() and food != idea:  # something more: an extra has to be worth it
        amount = idea.removesuffix(food).strip()
        if amount and amount != idea:
            more = {"name": _name(amount), "edits": [{"add": idea}]}
            return {"name": _name(food), "asks": "worth it", "options": [{"name": "none"}, more]}, f"Is {food} worth adding?"
    if not instead:
        return {"name": UNSAID, "options": [{"name": "as written"}, {"name": _name(idea)}]}, f"Is {idea} better?"
    name = idea if not food or food.casefold() == instead.casefold() else food  # another amount of the same is called by it
    plain = _name(instead)
    swap = {"name": _name(name or ANOTHER), "edits": [{"swap": instead, "for": idea or ANOTHER}]}
    return {"name": plain, "options": [{"name": plain}, swap]}, f"Is {name or ANOTHER} better than {instead}?"


def _food(idea: str) -> str:
    return (parse_line(idea).item or "").strip() if idea else ""


def _name(text: str) -> str:
    return text.replace(";", ",").replace("=", " ")
