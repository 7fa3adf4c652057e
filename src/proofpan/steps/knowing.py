"""What the notebook knows of an ingredient: where it stands in recipes and how much, what it did as an option, what the pantry says."""

from __future__ import annotations

from collections.abc import Mapping

from proofpan.steps.evidence import Pooled, pooled_evidence
from proofpan.study.fields import Doc
from proofpan.study.study import Study
from proofpan.study.words import counted


class Use(Doc):
    """A study that uses it: its line, or the option that it is."""

    study_id: str
    study: str
    line: str
    as_option: bool
    trials: int


class Known(Doc):
    """Everything known of one ingredient."""

    ingredient: str
    uses: tuple[Use, ...]
    pooled: Pooled
    facts: tuple[str, ...] = ()
    says: tuple[str, ...] = ()


def what_we_know(studies: Mapping[str, Study], ingredient: str) -> Known:
    """What the studies and the pantry hold on an ingredient.

    Parameters: studies, {id: study}, those that a search found; ingredient, its name, whatever the case.
    """
    wanted = " ".join(ingredient.split())
    uses = [u for key, study in studies.items() for u in _uses(key, study, wanted.casefold())]
    pooled = pooled_evidence(list(studies.values()), wanted)
    facts = _facts(wanted)
    count = len({u.study_id for u in uses})
    says = (f"{counted(count, 'study uses', 'studies use')} {wanted}." if count else f"No study of the notebook uses {wanted}.",)
    return Known(ingredient=wanted, uses=tuple(uses), pooled=pooled, facts=facts, says=says + (pooled.says if pooled.studies else ()))


def _uses(key: str, study: Study, wanted: str) -> list[Use]:
    out = []
    base = study.brief.base
    for line in base.ingredients if base is not None else ():
        if wanted in line.item.casefold():
            out.append(Use(study_id=key, study=study.title, line=line.text, as_option=False, trials=len(study.cooked)))
    for factor in study.factors:
        for option in factor.options:
            edits = " ".join(str(e.model_dump(mode="json")) for e in option.edits).casefold()
            if wanted in option.name.casefold() or wanted in edits:
                made = sum(t.version.get(factor.name) == option.name for t in study.cooked)
                out.append(Use(study_id=key, study=study.title, line=f"{factor.name}: {option.name}", as_option=True, trials=made))
    return out


def _facts(ingredient: str) -> tuple[str, ...]:
    from proofpan.science.foods import allergens, density_g_per_ml, look_up

    food = look_up(ingredient)
    if food is None:
        return ("The pantry doesn't hold it.",)
    out = []
    density = density_g_per_ml(ingredient)
    if density is not None:
        out.append(f"{density[0]:.2f} g a millilitre ({density[1]:.2f} to {density[2]:.2f}).")
    held = allergens([ingredient], "EU")
    out.append(f"Allergens: {', '.join(held)}." if held else "None of the declared allergens by itself.")
    return tuple(out)
