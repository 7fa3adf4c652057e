"""A worked recipe as plain text: cautions and allergens before the list."""

from __future__ import annotations

from proofpan.steps.recipe_lines import span_words
from proofpan.study.reader_recipe import Cost, ReaderRecipe


def text_of(recipe: ReaderRecipe) -> str:
    """The whole recipe, a line each."""
    out = [recipe.title, ""]
    out += [recipe.headnote, ""] if recipe.headnote else []
    facts = [f"Makes {recipe.makes}" if recipe.makes else "", f"Serves {recipe.serves:.3g}" if recipe.serves else "",
             f"Active {span_words(round(recipe.active_minutes), round(recipe.active_minutes))}" if recipe.active_minutes else "",
             f"In all {span_words(round(recipe.total_minutes), round(recipe.total_minutes))}" if recipe.total_minutes else ""]
    out += [" · ".join(f for f in facts if f), ""] if any(facts) else []
    out += ["Contains: " + ", ".join(recipe.allergens), *([recipe.allergen_note] if recipe.allergen_note else []), ""] if recipe.allergens else []
    out += [f"Careful: {c}" for c in recipe.cautions] + ([""] if recipe.cautions else [])
    out += [f"Not to be published yet: {b}" for b in recipe.blocks] + ([""] if recipe.blocks else [])
    kit = [k for k in (*recipe.equipment, recipe.tin) if k]
    out += [f"{recipe.headings[2]}: " + ", ".join(kit), ""] if kit else []
    out += _list(recipe)
    out += [""] + [f"{i}. {s.text}" for i, s in enumerate(recipe.method, 1)]
    out += ["", *recipe.notes] if recipe.notes else []
    out += [f"Ahead: {recipe.make_ahead}"] if recipe.make_ahead else []
    out += [f"Keeps: {recipe.keeping}"] if recipe.keeping else []
    out += [f"If you change it: {what} {says}" for what, says in recipe.swapped]
    out += [f"Variation: {v}" for v in recipe.variations]
    out += cost_lines(recipe.cost)
    out += [*recipe.credits, *([recipe.disclosure] if recipe.disclosure else [])]
    out += ["Invented: kitchen, dish and numbers are an example."] if recipe.invented else []
    return "\n".join(out).strip() + "\n"


def cost_lines(cost: Cost) -> list[str]:
    """What it costs, in sentences: the batch, the test batch, a serve beside its limit, what has no price, prices that can't be read."""
    if cost.batch is None:
        return list(cost.unread)

    def money(value: float) -> str:
        return f"{cost.currency} {value:.2f}".strip()

    at_least = "at least " if cost.missing else "about "
    said = [f"The batch costs {at_least}{money(cost.batch)}"]
    said += [f"a test batch {money(cost.test_batch)}"] if cost.test_batch is not None else []
    if cost.a_serve is not None:
        limit = "" if cost.limit is None else f" (the limit is {money(cost.limit)}{': over it' if cost.a_serve > cost.limit else ''})"
        said.append(f"a serve {money(cost.a_serve)}{limit}")
    out = [", ".join(said) + ", as purchased."]
    out += [f"No price is known of {', '.join(cost.missing)}."] if cost.missing else []
    return [*out, *cost.unread]


def _list(recipe: ReaderRecipe) -> list[str]:
    """The lines under their groups; a status is said where not every line has the same one."""
    out: list[str] = []
    group: str | None = None
    mixed = len({line.status for line in recipe.lines}) > 1
    for line in recipe.lines:
        if line.group != group and line.group:
            out.append(f"For {line.group}")
        group = line.group
        out.append(f"{line.text} [{line.status}]" if mixed else line.text)
    if not mixed and recipe.lines:
        out.append(f"[{recipe.lines[0].status}]")
    return out
