"""What the day has to go round with: people, breaks, skills, things, the fridge by day, what is kept, what is filmed; typed on its page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from proofpan.study.degrees import in_its_degrees
from proofpan.study.errors import StudyError
from proofpan.study.kitchen import Kitchen
from proofpan.study.study import Study
from proofpan.study.words import capital, length_words, version_words
from proofpan.web.desk import Typed
from proofpan.web.pages.begin.unsaid import split_names
from proofpan.web.pages.brief.changing import Change, check_hours, rewritten

LINES = ("breaks", "skills", "things", "fridge_taken")      # of the kitchen, one a line
NUMBERS = {"fridge_shelves": (0, 60), "places_a_shelf": (1, 60)}
FIELDS = (*LINES, *NUMBERS, "people", "hours", "danger_zone", "keeping", "serve_within", "presenter", "hero", "swap_outs", "minutes_a_shot")

if TYPE_CHECKING:
    from proofpan.science.daywork import Zone


@dataclass(frozen=True)
class Choice:
    """Something to tick."""

    value: str
    words: str
    on: bool


@dataclass(frozen=True)
class Setting:
    """The part of the page that says what the day has to go round with, as the study has it."""

    people: str
    hours: str
    usual_hours: str
    breaks: str
    skills: str
    things: str
    fridge_shelves: str
    places_a_shelf: str
    fridge_taken: str
    danger_zone: str
    zones: tuple[tuple[str, str], ...]      # the authority's name, and its degrees and time; "" is the country's
    keeping: str
    serve_within: str
    presenter: str
    heroes: tuple[Choice, ...]
    swap_outs: tuple[Choice, ...]
    stand_in: bool
    minutes_a_shot: str
    open: bool


def setting_of(study: Study, *, opened: bool = False) -> Setting:
    """As the study has it; opened where a field was refused."""
    from proofpan.science.daywork import ZONES
    from proofpan.steps.day_hours import USUAL
    from proofpan.steps.day_model import zone_of
    from proofpan.steps.day_tasks import method_of

    kitchen, film = study.brief.kitchen, study.brief.filming
    filmed = dict.fromkeys(film.hero) if film is not None else {}
    made = dict.fromkeys(str(t.version) for t in study.rounds[-1].trials) if study.rounds else {}
    heroes = {str(study.version(text)): True for text in filmed} | {text: False for text in made if text not in {str(study.version(x)) for x in filmed}}
    steps = method_of(study.brief.base) if study.brief.base is not None else ()
    swapped = {s.casefold() for s in (film.swap_outs if film is not None else ())}
    return Setting(
        people=", ".join(kitchen.people), hours=", ".join(kitchen.hours), usual_hours=USUAL,
        breaks="\n".join(kitchen.breaks), skills="\n".join(kitchen.skills), things="\n".join(kitchen.things),
        fridge_shelves=str(kitchen.fridge_shelves or ""), places_a_shelf=str(kitchen.places_a_shelf), fridge_taken="\n".join(kitchen.fridge_taken),
        danger_zone=kitchen.danger_zone or "", zones=(
            ("", f"The country’s: {_zone_words(zone_of(None, kitchen.country), kitchen)}"),
            *((name, _zone_words(zone, kitchen)) for name, zone in ZONES.items())),
        keeping="\n".join(study.plan.keeping),
        serve_within="" if study.plan.serve_within is None else f"{study.plan.serve_within:g}", presenter=(film.presenter or "") if film is not None else "",
        heroes=tuple(Choice(text, capital(version_words(study.version(text))), on) for text, on in heroes.items()),
        swap_outs=tuple(Choice(s.id, s.id, s.id.casefold() in swapped) for s in steps), stand_in=film is None or film.stand_in,
        minutes_a_shot=f"{film.minutes_a_shot:g}" if film is not None else "10", open=opened,
    )


def _zone_words(zone: Zone, kitchen: Kitchen) -> str:
    """`United Kingdom, 8 to 63 °C, 2 h`."""
    return in_its_degrees(f"{zone.name}, {zone.low_c:g} to {zone.high_c:g} °C, {length_words(zone.limit_minutes)}", kitchen)


def with_setting(study: Study, form: Typed, today: date) -> Change:
    """The study with what was typed, and what was done in words.

    Raises: StudyError naming the field.
    """

    def change(value: dict[str, Any]) -> None:
        kitchen = dict(value.get("kitchen", {}))
        kitchen["people"] = split_names(form.get("people")) or ["cook"]
        if "hours" in form.under(""):
            hours = split_names(form.get("hours"))
            check_hours(hours)
            _put(kitchen, "hours", hours)
        for key in LINES:
            _put(kitchen, key, _lines(form.get(key)))
        for key, (low, high) in NUMBERS.items():
            _put(kitchen, key, form.whole(key, 0, low, high))
        _put(kitchen, "danger_zone", form.get("danger_zone"))
        rounds = dict(value.get("rounds", {}))
        _put(rounds, "keeping", _lines(form.get("keeping")))
        _put(rounds, "serve_within", form.whole("serve_within", 0, 1, 600))
        film = {"presenter": form.get("presenter"), "hero": form.many("hero"), "swap_outs": form.many("swap_outs")}
        value.update(kitchen=kitchen, rounds=rounds)
        value.pop("filming", None)
        if film["hero"] or film["presenter"]:
            value["filming"] = {**{k: v for k, v in film.items() if v}, "stand_in": bool(form.get("stand_in")),
                                "minutes_a_shot": form.whole("minutes_a_shot", 10, 1, 240)}

    try:
        return rewritten(study, change), "changed what the day has to go round with"
    except StudyError as error:
        field = next((name for name in FIELDS if name in (error.field or "")), "people")
        raise StudyError(error.what, field=field) from None


def _put(where: dict[str, Any], key: str, value: Any) -> None:
    where.pop(key, None)
    if value:
        where[key] = value


def _lines(text: str) -> list[str]:
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]
