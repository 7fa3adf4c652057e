"""What documents say in fixed words, in one language: English in the code, another from `locale/LANGUAGE.po`; numbers and dates its way.

Fixed words are marked `say("…")`; `locale/proofpan.pot` lists them all (a test keeps it true). A translation is that file filled in and
saved as `locale/de.po`, read as it is: nothing to compile.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from proofpan.study.errors import StudyError, quoted

ENGLISH = "en"


class Wording:
    """Fixed words, numbers and dates of one language.

    Parameters: locale, such as en, en-US or de; messages, {English: translation} in place of the file, for tests and other sources.
    """

    def __init__(self, locale: str = ENGLISH, messages: Mapping[str, str] | None = None) -> None:
        self.locale = locale.replace("_", "-")
        self._messages = messages if messages is not None else _messages(self.locale)

    def __call__(self, text: str, **values: Any) -> str:
        """A fixed text in this language, its {names} filled in."""
        said = self._messages.get(text) or text
        return said.format(**values) if values else said

    def date(self, day: date) -> str:
        """A date, written out."""
        from babel.dates import format_date

        return str(format_date(day, "d MMMM y" if self._english_but_us else "long", locale=self._babel))

    def number(self, value: float, digits: int = 1) -> str:
        """A number with at most so many digits after the point."""
        from babel.numbers import format_decimal

        pattern = "#,##0" + ("." + "#" * digits if digits else "")
        return str(format_decimal(round(value, digits), pattern, locale=self._babel))

    @property
    def _english_but_us(self) -> bool:
        return self.locale.split("-")[0] == ENGLISH and self.locale != "en-US"

    @property
    def _babel(self) -> str:
        return self.locale.replace("-", "_")


@cache
def _messages(locale: str) -> Mapping[str, str]:
    """{English: translation}; empty for English.

    Raises: StudyError for a language that has no file, or a locale that isn't one.
    """
    from babel.core import Locale, UnknownLocaleError
    from babel.messages.pofile import read_po

    try:
        Locale.parse(locale, sep="-")
    except (ValueError, UnknownLocaleError):
        raise StudyError(f"{quoted(locale)} isn't a language here: write it as en, en-US or de.") from None
    language = locale.split("-")[0]
    if language == ENGLISH:
        return {}
    folder = files("proofpan.publish") / "locale"
    for name in (locale, language):
        file = folder / f"{name}.po"
        if file.is_file():
            with file.open("rb") as handle:
                return {str(m.id): str(m.string) for m in read_po(handle) if m.id and m.string and not m.fuzzy}
    raise StudyError(f"There is no translation into {quoted(locale)} yet: fill in publish/locale/proofpan.pot and save it as {language}.po.")
