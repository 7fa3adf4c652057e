"""A language that is made of marks: every text of the catalogue is put into it, and what is left in Latin letters in an output wasn't said."""

import re
from html.parser import HTMLParser

from proofpan.study.wording import Wording
from tests.publish.catalogue import messages

# names, units that are the same in every language, and what the locale itself puts between the last two of a list
NOT_WORDS = {"proofpan", "larkspur", "lane", "kcal", "csv", "und", "oder"}


def pseudo(text):
    """Every letter outside {names} becomes an ñ, between signs that every font of ours holds."""
    return "«" + "".join(p if p.startswith("{") else re.sub("[A-Za-z]", "ñ", p) for p in re.split(r"(\{[^}]*\})", text)) + "»"


def strange_language():
    """The wording of that language; its numbers and dates are German's."""
    said = {key: pseudo(key) if isinstance(key, str) else tuple(map(pseudo, key)) for key in messages()}
    return Wording("de", messages=said)


class Shown(HTMLParser):
    """The text that a reader sees, and what stands in attributes they hear or see."""

    def __init__(self):
        super().__init__()
        self.said, self.skip = [], 0

    def handle_starttag(self, tag, attrs):
        self.skip += tag in ("style", "script")
        self.said += [v for n, v in attrs if n in ("placeholder", "aria-label", "alt", "title", "data-kept", "data-saved", "data-missing") and v]

    def handle_endtag(self, tag):
        self.skip -= tag in ("style", "script")

    def handle_data(self, data):
        if not self.skip and data.strip():
            self.said.append(data.strip())


def shown_in(page):
    """What a reader of an HTML page sees and hears."""
    shown = Shown()
    shown.feed(page)
    return " ".join(shown.said)


def words_of(text):
    """The words of three Latin letters or more, but for one that is cut short."""
    return set(re.findall(r"(?<![ñ\w])[a-z]{3,}(?![ñ\w…])", text.casefold()))


def unsaid(text, study):
    """Words of an output that neither the study holds nor the language has said."""
    ovens = " ".join(o.name for o in study.brief.kitchen.ovens)
    return words_of(text) - words_of(f"{study.to_yaml()} {ovens}") - NOT_WORDS
