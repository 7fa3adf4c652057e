"""Times, ids and payloads as they are written down."""

import json
import re
import unicodedata
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from .errors import NotebookError


def stamp(at: datetime | str) -> str:
    """A time as ISO 8601 in UTC with milliseconds: `2026-05-03T09:14:00.000Z`.

    Raises:
        NotebookError: the text isn't a time, or the time has no zone.
    """
    if isinstance(at, str):
        try:
            at = datetime.fromisoformat(at)
        except ValueError:
            raise NotebookError(f'"{at}" isn\'t a time; write it as 2026-05-03T09:14:00Z.') from None
    if at.tzinfo is None:
        raise NotebookError(f"The time {at.isoformat()} needs a zone, as in 2026-05-03T09:14:00Z.")
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def slug(title: str) -> str:
    """A readable id: `Crème brûlée, twice` is `creme-brulee-twice`."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", title) if not unicodedata.combining(c))
    words = re.findall(r"[a-z0-9]+", plain.lower().replace("'", "").replace("’", ""))
    made = ""
    for word in words:
        if made and len(made) + len(word) >= 60:
            break
        made = f"{made}-{word}" if made else word[:60]
    return made or "study"


def checked(text: str, what: str) -> str:
    """The same text, if a database can hold it.

    Raises:
        NotebookError: it isn't text, or holds a NUL or half a character pair.
    """
    if not isinstance(text, str):
        raise NotebookError(f"The {what} must be text, not {type(text).__name__}.")
    if "\0" in text:
        raise NotebookError(f"The {what} holds a NUL character, which text can't.")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise NotebookError(f"The {what} holds half a character, which can't be written as UTF-8.") from None
    return text


def named(text: str, what: str) -> str:
    """The same text, if it can be a name: not blank.

    Raises:
        NotebookError: it is blank or can't be held.
    """
    if not checked(text, what).strip():
        raise NotebookError(f"The {what} is blank.")
    return text


def as_json(payload: Mapping[str, Any], what: str) -> str:
    """A payload in one spelling: keys in order, so that the same payload is the same text.

    Raises:
        NotebookError: JSON can't hold it.
    """
    if not isinstance(payload, Mapping):
        raise NotebookError(f"The {what} must be a mapping, not {type(payload).__name__}.")
    rules: dict[str, Any] = {"sort_keys": True, "separators": (",", ":"), "allow_nan": False}
    try:
        text = json.dumps(dict(payload), ensure_ascii=False, **rules)
    except (TypeError, ValueError, RecursionError) as error:
        raise NotebookError(f"The {what} can't be kept as JSON: {error}.") from None
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:  # half a pair, as phones sometimes send: kept as an escape rather than lost
        text = json.dumps(dict(payload), ensure_ascii=True, **rules)
    return text
