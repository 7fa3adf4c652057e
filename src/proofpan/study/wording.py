"""What documents say, in one language: English in the code, another from a catalogue; numbers, dates and clocks its way.

Every fixed text is marked `say("…")` in the code and `tr("…")` in a paper's template; `locale/proofpan.pot` lists them all (a test keeps
it true). A translation is that file filled in, read as it is: nothing to compile. What is said between `with speaking("de"):` and the end
of its block is said in that language; outside any block it is English.
"""

from __future__ import annotations

import datetime
import re
import string
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache, cached_property
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from proofpan.study.errors import StudyError, quoted

if TYPE_CHECKING:
    from gettext import NullTranslations

ENGLISH = "en"
POINTS = (".", ",")    # what stands before the part of a number, and between its thousands, in English


class Wording:
    """Fixed words, numbers and dates of one language.

    Parameters: locale, such as en, en-US or de, or the path of a filled-in catalogue (it ends in .po); messages, {English: translation} in
    place of the file, for tests and other sources; the key of a counted text is its two English forms, its value a form for each number.

    Raises: StudyError for a language that has no catalogue, a name that isn't a language, or a file that can't be read.
    """

    def __init__(self, locale: str = ENGLISH, messages: Mapping[Any, Any] | None = None) -> None:
        if locale.endswith(".po"):
            self.locale, self._said = _from_file(locale)
        else:
            self.locale = locale.replace("_", "-")
            self._said = _shipped(self.locale) if messages is None else _given(self.locale, tuple(messages.items()))

    def __call__(self, text: str, **values: Any) -> str:
        """A fixed text in this language, its {names} filled in; numbers and dates among them are written the language's way."""
        said = self._said.gettext(text)
        return self._filled(said, text, values) if values else said

    def as_it_stands(self, text: str) -> str:
        """A fixed text in this language with its {names} still open, for a template that fills them in itself."""
        return self._said.gettext(text)

    def counted(self, number: int, one: str, many: str, **values: Any) -> str:
        """`{number} trial` or `{number} trials`, in the form that this language has for that number.

        Parameters: one, many, the English forms; values, what else is filled in.
        """
        return self._filled(self._said.ngettext(one, many, number), one if number == 1 else many, {"number": number, **values})

    def _filled(self, said: str, english: str, values: Mapping[str, Any]) -> str:
        """The text with its names filled in; the English one where a translator lost or made up a name."""
        try:
            return _Filling(self).vformat(said, (), values)
        except (KeyError, IndexError, ValueError):
            return _Filling(self).vformat(english, (), values)

    def date(self, day: datetime.date) -> str:
        """A date, written out."""
        from babel.dates import format_date

        return str(format_date(day, "d MMMM y" if self._english and self.locale != "en-US" else "long", locale=self._babel))

    def day_and_month(self, day: datetime.date) -> str:
        """A date without its year, written out."""
        from babel.dates import format_date, format_skeleton

        if self._english and self.locale != "en-US":
            return str(format_date(day, "d MMMM", locale=self._babel))
        return str(format_skeleton("MMMMd", datetime.datetime(day.year, day.month, day.day), locale=self._babel))

    def weekday(self, moment: datetime.date, *, short: bool = False) -> str:
        """`Friday`, or short `Fri`."""
        from babel.dates import format_date

        return str(format_date(moment, "EEE" if short else "EEEE", locale=self._babel))

    def clock(self, moment: datetime.datetime, *, padded: bool = False) -> str:
        """The time of day: `9:05` (padded `09:05`) in plain English, else as the region writes it: `9:05 AM` in the US, `09:05` in German."""
        if self.locale == ENGLISH:
            return f"{moment.hour:02d}:{moment.minute:02d}" if padded else f"{moment.hour}:{moment.minute:02d}"
        from babel.dates import format_time

        return str(format_time(moment, "short", locale=self._babel)).replace("\u202f", " ")   # the narrow space of the tables is in no font of ours

    def number(self, value: float, digits: int = 1) -> str:
        """A number with at most so many digits after the point."""
        from babel.numbers import format_decimal

        pattern = "#,##0" + ("." + "#" * digits if digits else "")
        return str(format_decimal(round(value, digits), pattern, locale=self._babel))

    def figure(self, value: float, form: str = "") -> str:
        """A number in one of Python's forms (`.1f`, `+.2f`, `g`, `.0%`), with the language's own point and sign between thousands."""
        plain = format(value, form)
        point, thousands = self._points
        return plain if (point, thousands) == POINTS else plain.translate({ord("."): point, ord(","): thousands})

    def signs_in(self, text: str) -> str:
        """A finished text, such as a label's `6.9 g`, with the language's own point in its numbers."""
        point, _ = self._points
        return text if point == "." else re.sub(r"(?<=\d)\.(?=\d)", point, text)

    def joined(self, words: Iterable[str], last: str = "and") -> str:
        """`a`, `a and b`, `a, b and c`. Parameters: last, "and" or "or"."""
        items = list(words)
        if len(items) < 2:
            return "".join(items)
        if not self._english:
            from babel.lists import format_list

            return str(format_list(items, style="or" if last == "or" else "standard", locale=self._babel))
        return f"{', '.join(items[:-1])} {last} {items[-1]}"

    @cached_property
    def _points(self) -> tuple[str, str]:
        if self._english:
            return POINTS
        from babel.numbers import get_decimal_symbol, get_group_symbol

        return get_decimal_symbol(self._babel), get_group_symbol(self._babel)

    @property
    def _english(self) -> bool:
        return self.locale.split("-")[0] == ENGLISH

    @property
    def _babel(self) -> str:
        return self.locale.replace("-", "_")


class _Filling(string.Formatter):
    """Fills {names} in: numbers and dates in the language's way, everything else as it is."""

    def __init__(self, wording: Wording) -> None:
        self.wording = wording

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, datetime.datetime) and not format_spec:
            return self.wording.clock(value)
        if isinstance(value, datetime.date) and not format_spec:
            return self.wording.date(value)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return self.wording.figure(value, format_spec)
        return str(super().format_field(value, format_spec))


_spoken: ContextVar[Wording | None] = ContextVar("spoken", default=None)


@cache
def _plain() -> Wording:
    return Wording()


def spoken() -> Wording:
    """The language that is spoken here."""
    return _spoken.get() or _plain()


@contextmanager
def speaking(language: str | Wording | None) -> Iterator[Wording]:
    """Says everything within the block in that language; none leaves it as it is.

    Parameters: language, as Wording takes it, or a Wording.
    Raises: StudyError as Wording does.
    """
    if language is None:
        yield spoken()
        return
    before = _spoken.set(language if isinstance(language, Wording) else Wording(language))
    try:
        yield spoken()
    finally:
        _spoken.reset(before)


def say(text: str, **values: Any) -> str:
    """A fixed text in the language that is spoken here, its {names} filled in."""
    return spoken()(text, **values)


def say_counted(number: int, one: str, many: str, **values: Any) -> str:
    """`{number} trial` or `{number} trials` in the language that is spoken here, in the form it has for that number."""
    return spoken().counted(number, one, many, **values)


def figure(value: float, form: str = "") -> str:
    """A number in one of Python's forms, written the way of the language that is spoken here."""
    return spoken().figure(value, form)


@cache
def _shipped(locale: str) -> NullTranslations:
    """The catalogue of a language that is shipped; empty for English.

    Raises: StudyError for a language that has no file, or a locale that isn't one.
    """
    from gettext import NullTranslations

    language = _known(locale)
    if language == ENGLISH:
        return NullTranslations()
    folder = files("proofpan") / "locale"
    for name in (locale, language):
        file = folder / f"{name}.po"
        if file.is_file():
            return _read(file.read_bytes(), name)[1]
    raise StudyError(f"There is no translation into {quoted(locale)} yet: fill in proofpan.pot, save it as {language}.po and give that file in its place.")


def _known(locale: str) -> str:
    """The language of a locale. Raises: StudyError where it is none."""
    from babel.core import Locale, UnknownLocaleError

    try:
        return Locale.parse(locale, sep="-").language
    except (ValueError, UnknownLocaleError):
        raise StudyError(f"{quoted(locale)} isn't a language here: write it as en, en-US or de.") from None


def _from_file(path: str) -> tuple[str, NullTranslations]:
    """(locale, catalogue) of a file that a translator filled in. Raises: StudyError where it can't be read or names no language."""
    file = Path(path)
    try:
        data = file.read_bytes()
    except OSError:
        raise StudyError(f"There is no catalogue {quoted(path)} that can be read.") from None
    return _read(data, file.stem)


def _read(data: bytes, name: str) -> tuple[str, NullTranslations]:
    """(locale, catalogue); the language is the one of the header, else the one that the file is called by."""
    from io import BytesIO

    from babel.messages.pofile import PoFileError, read_po

    try:
        found = read_po(BytesIO(data), abort_invalid=True)
    except (PoFileError, ValueError, UnicodeDecodeError) as error:
        raise StudyError(f"The catalogue {quoted(name)} can't be read: {error}.") from None
    if not any(m.id and m.string for m in found):
        raise StudyError(f"The catalogue {quoted(name)} can't be read: it holds no translated text.")
    locale = (found.locale_identifier or name).replace("_", "-")
    _known(locale)
    found.locale = locale.replace("-", "_")
    return locale, _ready(found)


def _given(locale: str, messages: tuple[tuple[Any, Any], ...]) -> NullTranslations:
    from babel.messages.catalog import Catalog

    catalogue = Catalog(locale=locale.replace("-", "_"))
    for english, said in messages:
        catalogue.add(english, said)
    return _ready(catalogue)


def _ready(catalogue: Any) -> NullTranslations:
    """A catalogue as the standard library reads it; what is empty or marked as fuzzy stays English."""
    from gettext import GNUTranslations
    from io import BytesIO

    from babel.messages.mofile import write_mo

    out = BytesIO()
    write_mo(out, catalogue)
    out.seek(0)
    return GNUTranslations(out)
