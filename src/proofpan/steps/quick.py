"""A quick comparison: two to six options in front of you, no recipe and no kitchen needed; it can grow into a study."""

from __future__ import annotations

from collections.abc import Sequence

from proofpan.study.errors import StudyError, quoted
from proofpan.study.rounds import Round
from proofpan.study.study import Study

MOST_OPTIONS = 6
WHAT = "version"


def compare(
    options: Sequence[str], tasters: int | Sequence[str] = 1, *, what: str = WHAT, title: str | None = None,
    dont_eat: Sequence[str] = (), blind: bool = True, turns: int = 1,
) -> Study:
    """A study of two to six options.

    Parameters: options, in words; tasters, how many or their names; what, what the options are of; dont_eat, what the tasters
        don't eat; blind, False for what was tasted knowingly (last year's notes); turns, how often each plate is tasted, also once it is planned.

    Raises: StudyError for fewer than two or more than six options, or two of one name.
    """
    names = [str(o).strip() for o in options]
    if not 2 <= len(names) <= MOST_OPTIONS:
        raise StudyError(f"A quick comparison takes two to {MOST_OPTIONS} options; {len(names)} were given.")
    repeated = next((n for i, n in enumerate(names) if n.casefold() in (m.casefold() for m in names[:i])), None)
    if repeated is not None:
        raise StudyError(f"The option {quoted(repeated)} stands twice: give each its own name.")
    who = tasters if isinstance(tasters, int) else list(tasters)
    if dont_eat:
        named = [f"Taster {i}" for i in range(1, who + 1)] if isinstance(who, int) else who
        who = [{"name": n, "no": list(dont_eat)} for n in named]  # type: ignore[misc]
    return Study.from_dict({
        "title": title or f"{' or '.join(names)}?",
        "question": f"Which is better: {' or '.join(names)}?",
        "tasters": who,
        "attributes": [{"name": "liking", "scale": [0, 10], "better": "more", "weight": 1, "worth": 0.5}],
        "factors": [{"name": what, "options": [{"name": n} for n in names]}],
        "rounds": {"loads": 1, "at_most": 12, "plates": max(2, len(names)), **({"passes": turns} if turns > 1 else {})},
        **({} if blind else {"blind": False}),
    })


def how_to_shuffle(study: Study, round_: Round) -> tuple[str, ...]:
    """How to blind oneself, in the order it is done; what stands under which plate is said once, for whoever lays the plates."""
    alone = len(study.tasters) == 1
    options = {t.trial: ", ".join(t.version.values()) for t in round_.trials}
    under = {taster: [f"  {p.code}  {options[p.trial]}" for p in round_.plates if p.pass_ == 1 and p.taster == taster] for taster in study.tasters}
    if alone:
        lines = [
            "Write each code on a slip and put it under its plate, where it can't be seen:",
            *under[study.tasters[0]],
            "Same plates, same amounts, same temperature. Close your eyes, turn and shuffle the plates until you've lost track.",
            "Rinse. Taste from left to right. Write down words first, then a mark from 0 to 10.",
            "Mark first, then lift the plate and type the code under it.",
        ]
    else:
        lines = ["Write each code on a slip and put it under its plate, where it can't be seen. Each taster has codes of their own."]
        for taster, slips in under.items():
            lines += [f"Under {taster}'s plates:", *slips]
        lines += ["One of you lays the plates and doesn't taste this time; or each shuffles for the other, eyes shut.",
                  "Same plates, same amounts, same temperature. Rinse between plates.",
                  "Words first, then a mark; no talking until all have marked."]
    return tuple(lines)


def not_eaten(study: Study) -> tuple[str, ...]:
    """What tasters said they don't eat."""
    return tuple(dict.fromkeys(n for t in study.brief.tasters for n in t.no))
