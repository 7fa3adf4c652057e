"""The language that a paper is asked for in: `?language=de` behind any document's address; a page of the kitchen stays English."""

from __future__ import annotations

import re
from contextlib import AbstractContextManager

from proofpan.study.errors import StudyError, quoted
from proofpan.study.wording import Wording, speaking
from proofpan.web.desk import Desk


def in_language(desk: Desk) -> AbstractContextManager[Wording]:
    """Says what follows in the language of the address.

    Raises: StudyError where there is no translation into it; a file is never read by a name from an address.
    """
    asked = desk.request.query_params.get("language", "")
    if asked and not re.fullmatch(r"[A-Za-z]{2,3}([-_][A-Za-z0-9]{2,8})*", asked):
        raise StudyError(f"{quoted(asked[:20])} isn't a language here: write it as en, en-US or de.", field="language")
    return speaking(asked or None)
