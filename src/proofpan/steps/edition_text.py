"""An edition's text worked out for readers: amounts, allergens and cautions of the text as it was frozen, with what its house asks."""

from __future__ import annotations

from proofpan.steps.recipe import WorkedRecipe, recipe
from proofpan.study.edition import Edition
from proofpan.study.errors import ProofpanError
from proofpan.study.reader_recipe import ReaderRecipe
from proofpan.study.study import Study

WORKED_OUT = "worked out"


def edition_recipe(study: Study, edition: Edition) -> WorkedRecipe:
    """The recipe of an edition: its printed text as it was frozen, in its house's style; `to` hands back another region's measures.

    An edition that was frozen without its printed text is worked out again.
    """
    plain = _worked_out(study, edition)
    if edition.printed is None:
        return plain if edition.style is None else plain.in_house(edition.style)
    return plain.frozen_as(edition.printed)


def with_print(study: Study, edition: Edition) -> Edition:
    """The edition with the text that its readers get, sealed."""
    bare = edition.model_copy(update={"printed": None})
    printed = ReaderRecipe.model_validate(edition_recipe(study, bare).model_dump())
    return bare.model_copy(update={"printed": printed}).sealed()


def _worked_out(study: Study, edition: Edition) -> WorkedRecipe:
    """The document of an edition worked out as it was written.

    A line that stands as it was cooked keeps its status; one that a correction changed is worked out until it is cooked.
    Declared allergens of the chosen options are kept beside those of the text.
    """
    bare = Study(brief=study.brief.model_copy(update={"base": edition.recipe, "factors": (), "pairs": (), "never": ()}))
    out = recipe(bare, {}).changed(swapped=edition.swapped)
    try:
        held = recipe(study, edition.version)
    except ProofpanError:  # the version may have left the study since; its edition stands
        return out
    status = {x.text: x.status for x in held.lines} | {s.text: s.status for s in held.method}
    allergens = out.allergens if edition.safety else tuple(dict.fromkeys((*out.allergens, *_declared(study, edition))))
    return out.changed(
        lines=tuple(x.model_copy(update={"status": status.get(x.text, WORKED_OUT)}) for x in out.lines),
        method=tuple(s.model_copy(update={"status": status.get(s.text, WORKED_OUT)}) for s in out.method),
        allergens=allergens, version=str(edition.version), credits=tuple(dict.fromkeys((*edition.credits, *out.credits))),
        disclosure=edition.disclosure or out.disclosure,
    )


def _declared(study: Study, edition: Edition) -> tuple[str, ...]:
    options = [f.option(edition.version.get(f.name, "")) for f in study.factors]
    return tuple(c for o in options if o is not None for c in o.contains)


def edition_jsonld(worked: WorkedRecipe, edition: Edition, on: object = None) -> dict[str, object]:
    """schema.org data of an edition: the first date kept, when it was changed, what was corrected, and whether it is final.

    Source: schema.org, CreativeWork: datePublished, dateModified, version, correction, creativeWorkStatus, creditText.
    """
    from datetime import date

    out: dict[str, object] = dict(worked.jsonld())
    out["version"] = edition.number
    if edition.public_from is not None:
        out["datePublished"] = edition.public_from.isoformat()
    if edition.modified is not None and (edition.public_from is None or edition.modified > edition.public_from):
        out["dateModified"] = edition.modified.isoformat()
    if edition.why:
        out["correction"] = edition.why
    final = edition.is_final(on if isinstance(on, date) else None)
    out["creativeWorkStatus"] = "Published" if final else "Draft"
    return out
