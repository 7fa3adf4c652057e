"""A worked recipe as plain text: cautions and allergens before the list."""

from __future__ import annotations

from proofpan.steps.recipe_lines import span_words
from proofpan.study.reader_recipe import Cost, ReaderRecipe
from proofpan.study.wording import figure, say


def text_of(recipe: ReaderRecipe) -> str:
    """The whole recipe, a line each."""
    out = [recipe.title, ""]
    out += [recipe.headnote, ""] if recipe.headnote else []
    facts = [say("Makes {makes}", makes=recipe.makes) if recipe.makes else "", say("Serves {serves:.3g}", serves=recipe.serves) if recipe.serves else "",
             say("Active {time}", time=span_words(round(recipe.active_minutes), round(recipe.active_minutes))) if recipe.active_minutes else "",
             say("In all {time}", time=span_words(round(recipe.total_minutes), round(recipe.total_minutes))) if recipe.total_minutes else ""]
    out += [" · ".join(f for f in facts if f), ""] if any(facts) else []
    contains = say("Contains: {allergens}", allergens=", ".join(map(say, recipe.allergens)))
    out += [contains, *([recipe.allergen_note] if recipe.allergen_note else []), ""] if recipe.allergens else []
    out += [say("Careful: {caution}", caution=c) for c in recipe.cautions] + ([""] if recipe.cautions else [])
    out += [say("Not to be published yet: {reason}", reason=b) for b in recipe.blocks] + ([""] if recipe.blocks else [])
    kit = [k for k in (*recipe.equipment, recipe.tin) if k]
    heading = recipe.headings[2] if recipe.style else say("You need")
    out += [f"{heading}: " + ", ".join(kit), ""] if kit else []
    out += _list(recipe)
    out += [""] + [f"{i}. {s.text}" for i, s in enumerate(recipe.method, 1)]
    out += ["", *recipe.notes] if recipe.notes else []
    out += [say("Ahead: {make_ahead}", make_ahead=recipe.make_ahead)] if recipe.make_ahead else []
    out += [say("Keeps: {keeping}", keeping=recipe.keeping)] if recipe.keeping else []
    out += [say("If you change it: {change} {says}", change=what, says=says) for what, says in recipe.swapped]
    out += [say("Variation: {variation}", variation=v) for v in recipe.variations]
    out += cost_lines(recipe.cost)
    out += [*recipe.credits, *([recipe.disclosure] if recipe.disclosure else [])]
    out += [say("Invented: kitchen, dish and numbers are an example.")] if recipe.invented else []
    return "\n".join(out).strip() + "\n"


def cost_lines(cost: Cost) -> list[str]:
    """What it costs, in sentences: the batch, the test batch, a serve beside its limit, what has no price, prices that can't be read."""
    if cost.batch is None:
        return list(cost.unread)

    def money(value: float) -> str:
        return f"{cost.currency} {figure(value, '.2f')}".strip()

    batch = money(cost.batch)
    said = [say("The batch costs at least {money}", money=batch) if cost.missing else say("The batch costs about {money}", money=batch)]
    said += [say("a test batch {money}", money=money(cost.test_batch))] if cost.test_batch is not None else []
    if cost.a_serve is not None:
        serve = say("a serve {money}", money=money(cost.a_serve))
        if cost.limit is not None:
            over = cost.a_serve > cost.limit
            serve += f" ({say('the limit is {money}: over it', money=money(cost.limit)) if over else say('the limit is {money}', money=money(cost.limit))})"
        said.append(serve)
    out = [say("{costs}, as purchased.", costs=", ".join(said))]
    out += [say("No price is known of {things}.", things=", ".join(cost.missing))] if cost.missing else []
    return [*out, *cost.unread]


def _list(recipe: ReaderRecipe) -> list[str]:
    """The lines under their groups; a status is said where not every line has the same one."""
    out: list[str] = []
    group: str | None = None
    mixed = len({line.status for line in recipe.lines}) > 1
    for line in recipe.lines:
        if line.group != group and line.group:
            out.append(say("For {group}", group=line.group))
        group = line.group
        out.append(f"{line.text} [{say(line.status)}]" if mixed else line.text)
    if not mixed and recipe.lines:
        out.append(f"[{say(recipe.lines[0].status)}]")
    return out
