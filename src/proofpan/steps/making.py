"""A version's own recipe: the base with one option of everything that varies."""

from __future__ import annotations

from proofpan.study.edits import EditFault, apply
from proofpan.study.errors import StudyError
from proofpan.study.recipe import Recipe
from proofpan.study.study import Study
from proofpan.study.versions import Version, complete_edits


def recipe_of(study: Study, version: Version) -> Recipe:
    """The base recipe with a version's edits.

    Raises: StudyError when there is no base recipe.
    """
    if study.brief.base is None:
        raise StudyError("This study has no base recipe: add one to see a version's recipe.")
    try:
        recipe = study.brief.base
        for factor, option in complete_edits(study.brief, version):
            by = f"{factor.name}={option.name}"
            recipe = apply(recipe, option.edits, by=by, country=study.brief.kitchen.country)
        return recipe
    except EditFault as fault:
        raise StudyError(fault.says) from None
