"""What is done to editions, as the pages and the commands keep it: published, approved, corrected, copied, asked about, tested again."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from proofpan.notebook import Notebook
from proofpan.notebook.shelf import CHANGE
from proofpan.steps.copies import KINDS as COPY_KINDS
from proofpan.steps.edition_text import with_print
from proofpan.steps.questions import CAUSE_SAYS, KINDS, sort_complaint
from proofpan.steps.retest import OTHER_INGREDIENT, USUAL_WEIGHT, reweighed
from proofpan.study.afterwards import Question
from proofpan.study.edition import Edition, changed_lines
from proofpan.study.elsewhere import Changed
from proofpan.study.errors import StudyError, did_you_mean, quoted
from proofpan.web.editions import APPROVAL, COMPLAINT, COPY, EDITION, QUESTION, copies_of, newest_of
from proofpan.web.shelfcache import Standing

LONGEST = 600


def keep_edition(book: Notebook, standing: Standing, edition: Edition) -> Edition:
    """Keep a freshly published edition: it takes the next number, and the first date of those before it."""
    before = newest_of(standing)
    if before is not None:
        edition = edition.model_copy(update={
            "number": before.number + 1, "published": before.published, "modified": edition.published,
            "changes": changed_lines(before.recipe, edition.recipe)})
    sealed = edition.sealed()
    book.append(standing.study_id, EDITION, sealed.model_dump(mode="json", by_alias=True), key=f"edition:{sealed.number}")
    return sealed


def keep_correction(book: Notebook, standing: Standing, edits: Sequence[Any], *, why: str, safety: bool, on: date) -> Edition:
    """The next edition after the newest, with what changed and why.

    Raises: StudyError without an edition or a reason, or for edits that don't fit.
    """
    made = with_print(standing.study, _published(standing).correct(edits, why=why[:400], safety=safety, on=on))
    book.append(standing.study_id, EDITION, made.model_dump(mode="json", by_alias=True), key=f"edition:{made.number}")
    return made


def approve(book: Notebook, standing: Standing, edition: Edition, by: str, on: date) -> None:
    """Somebody approves an edition, by name; the first to do so stands.

    Raises: StudyError without a name.
    """
    edition.approved(by, on)
    book.append(standing.study_id, APPROVAL, {"edition": edition.number, "by": by.strip()[:120], "on": on.isoformat()}, key=f"approval:{edition.number}")


def keep_copy(book: Notebook, standing: Standing, where: str, *, kind: str = "", house: str = "", shows: int | None = None, once: str) -> None:
    """Put a copy elsewhere on the list; it shows the newest edition unless `shows` names another.

    Raises: StudyError without an edition or a place.
    """
    newest = _published(standing)
    if not where.strip():
        raise StudyError("Say where the copy stands.", field="where")
    payload = {"id": secrets.token_hex(6), "where": where.strip()[:200], "kind": kind if kind in COPY_KINDS else "other", "house": house[:80],
               "edition": newest.number if shows is None else shows, "note": ""}
    book.append(standing.study_id, COPY, payload, key=_once("copy", once, {**payload, "id": ""}))


def change_copy(book: Notebook, standing: Standing, which: str, what: str, *, once: str) -> None:
    """A copy that shows the newest edition now ("mended"), or is no more ("gone"). Parameters: which, its id or where it stands.

    Raises: StudyError for a copy that isn't on the list.
    """
    newest, held = _published(standing), copies_of(standing)
    copy = next((c for c in held if which in (c.id, c.where)), None)
    if copy is None:
        raise StudyError(f"{quoted(which)} isn't on the list of copies. {did_you_mean(which, [c.where for c in held])}".strip(), field="where")
    payload = {"id": copy.id, "gone": True} if what == "gone" else copy.model_copy(update={"edition": newest.number}).model_dump(mode="json")
    book.append(standing.study_id, COPY, payload, key=f"copy:{once}")


def keep_question(book: Notebook, standing: Standing, kind: str, words: str, line: str, *, once: str) -> None:
    """A reader's question, by its kind and line.

    Raises: StudyError for an unknown kind, or before an edition.
    """
    if kind not in KINDS:
        raise StudyError(f"Say what they ask for. {did_you_mean(kind, list(KINDS))}" if kind else "Say what they ask for.", field="asks")
    question = Question(kind=kind, words=words[:LONGEST], line=line, edition=_published(standing).number)
    payload = question.model_dump(mode="json")
    book.append(standing.study_id, QUESTION, payload, key=_once("question", once, payload))


def keep_complaint(
    book: Notebook, study_id: str, words: str, *, swapped: bool | None = None, cause: str = "", which: str = "", once: str
) -> None:
    """A complaint, sorted; a cook may put it elsewhere. Parameters: cause, where a cook puts it; which, one that is told already.

    Raises: StudyError without words.
    """
    if not words.strip():
        raise StudyError("Write what went wrong, in their words.", field="complaint")
    sorted_ = cause if cause in CAUSE_SAYS else sort_complaint(words[:LONGEST], swapped=swapped).cause
    said = {"words": words[:LONGEST], "cause": sorted_}
    book.append(study_id, COMPLAINT, {"id": which or secrets.token_hex(6), **said}, key=_once("complaint", once, {**said, "id": which}))


def keep_change(book: Notebook, standing: Standing, what: str, why: str, since: int, weight: int | None, *, once: str) -> Changed:
    """Another ingredient or season from a round on: older trials count less. Parameters: weight, in 100; None: as usual for its kind.

    Raises: StudyError when nothing was tasted before that round.
    """
    kind = what if what in USUAL_WEIGHT else OTHER_INGREDIENT
    changed = Changed(what=kind, why=why[:200], since_round=since, weight=USUAL_WEIGHT[kind] if weight is None else weight / 100)
    reweighed(standing.study, changed)
    book.append(standing.study_id, CHANGE, changed.model_dump(mode="json"), key=f"changed:{once}")
    return changed


def _once(kind: str, once: str, payload: Mapping[str, Any]) -> str:
    """A key that a form sent twice has twice; sent again with other contents (after going back a page) it is something new."""
    return f"{kind}:{once}:{hashlib.sha256(json.dumps(payload, sort_keys=True).encode()).hexdigest()[:12]}"


def _published(standing: Standing) -> Edition:
    newest = newest_of(standing)
    if newest is None:
        raise StudyError("Publish an edition first.")
    return newest
