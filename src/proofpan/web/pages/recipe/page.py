"""The recipe of a version, in a reader's measures or a house's style, with where each figure comes from; cross-tests and publishing below."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.study.reader_recipe import RecipeLine


@dataclass(frozen=True)
class IngredientLine:
    """One line: amount and item, which stands out where it is an allergen, what follows, its other measure, its status, and a note."""

    amount: str
    item: str
    after: str
    more: str
    allergens: str
    status: str
    note: str
    group: str


@dataclass(frozen=True)
class StepLine:
    """One step: its words, its status, and whose minutes they are."""

    text: str
    status: str
    hands: str


@dataclass(frozen=True)
class FindingLine:
    """One finding of the audit: where, what is wrong, the fix, whether it stops publishing, and why it stands all the same."""

    where: str
    says: str
    fix: str
    stops: bool
    declined: str = ""

    @property
    def proposal(self) -> str:
        """What the audit would have mended."""
        return f"{self.says} {self.fix}".strip()


@dataclass(frozen=True)
class RecipePage:
    """The page."""

    empty: bool = False
    title: str = ""
    under: str = ""
    version: str = ""
    version_words: str = ""
    versions: tuple[tuple[str, str], ...] = ()
    region: str = ""
    regions: tuple[tuple[str, str], ...] = ()
    styles: tuple[tuple[str, str], ...] = ()
    house: str = ""
    headings: tuple[str, str, str] = ("Take", "Make", "You need")
    kit: str = ""
    scale: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[IngredientLine, ...] = ()
    steps: tuple[StepLine, ...] = ()
    allergens: tuple[str, ...] = ()
    allergen_note: str = ""
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    credits: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()
    nutrition: tuple[tuple[str, str, str], ...] = ()
    nutrition_basis: str = ""
    nutrition_notes: tuple[str, ...] = ()
    findings: tuple[FindingLine, ...] = ()
    not_that_href: str = ""
    stands: str = ""
    shown: str = ""
    query: str = ""
    action: str = ""
    answers: tuple[tuple[str, str, str], ...] = ()
    tests: tuple[str, ...] = ()
    tests_href: str = ""
    reasons: tuple[str, ...] = ()
    tested_href: str = ""
    brief_href: str = ""
    cards: tuple[tuple[str, str], ...] = ()


def ingredient_line(line: RecipeLine) -> IngredientLine:
    """A line in its parts."""
    amount, more, item, after = line.parts
    return IngredientLine(amount, item, after, more, ", ".join(line.allergens), line.status, line.note, line.group or "")


def hands_words(hands: float | None, minutes: tuple[float, float] | None, by: str) -> str:
    """Whose minutes a step's are, where they aren't all the cook's."""
    if hands is None or minutes is None or by == "works":
        return ""
    whole = sum(minutes) / 2
    if hands >= whole:
        return ""
    said = {"said": "as written", "waits": "it waits", "watched": "looked at now and then"}[by]
    return f"{hands:.0f} of {whole:.0f} min yours, {said}" if hands else f"none of its {whole:.0f} min yours, {said}"
