"""Audit rule: nothing stands in the photograph that isn't on the list."""

from __future__ import annotations

from collections.abc import Iterator

from proofpan.steps.audit_words import QUALIFIERS, Page, words_of
from proofpan.study.errors import quoted

Found = Iterator[tuple[str, str, str, str, str]]

_FORMS = frozenset(["wedge", "slice", "leaf", "sprig", "zest", "half", "piece", "stalk", "flower", "crumb", "flake", "seed", "bowl", "cube", "drizzle",
                    "fresh", "chopped", "scattered"])
# what a photograph may hold beside the food (common practice, no source)
_AROUND = frozenset(["tray", "tin", "pan", "dish", "bowl", "plate", "board", "knife", "spoon", "fork", "cloth", "towel", "napkin", "rack", "jar",
                     "glass", "table", "hand", "paper", "jug", "cup", "ramekin", "whisk", "basket", "flower", "candle"])


def shown(page: Page) -> Found:
    """What the photographs show (the recipe's `shown`) is on the list, is what the recipe makes, or is kit."""
    from proofpan.science.foods import look_up

    recipe = page.recipe
    if not recipe.shown:
        return
    bearing = [set(words_of(i.line.text)) | set(i.full) for i in page.items]
    listed = set().union(*bearing)
    made = set(words_of(f"{recipe.title} {recipe.makes or ''}"))
    kit = _AROUND | set(words_of(" ".join([*recipe.equipment, recipe.tin or ""])))
    keys = {food.key for i in page.items if (food := look_up(i.name)) is not None}
    for thing in recipe.shown:
        words = words_of(thing)
        telling = [w for w in words if w not in QUALIFIERS and w not in _FORMS] or words
        if not telling or telling[-1] in kit or set(telling) <= made or any(set(telling) <= line for line in bearing):
            continue
        food = look_up(thing) or look_up(" ".join(telling))
        if food is not None and food.key in keys or (food is None and telling[-1] in listed):
            continue
        yield ("shown", "shown", "shown", f"The photograph shows {quoted(thing)}, which isn't on the list: a reader will look for it.",
               f"Add {thing} to the list (to serve), or take it out of the picture.")
