"""Cooking: what was weighed counts, not what was planned; what failed is counted, never averaged in."""

from __future__ import annotations

import hashlib
import re
import secrets

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.entries import NewEvent
from proofpan.notebook.shelf import BALLOT, TRIAL
from proofpan.steps.cautions import cooking_cautions
from proofpan.steps.recipe import WorkedRecipe, recipe
from proofpan.steps.test_sheet import for_the_bench
from proofpan.study.day import DayPlan, oven_of_tray, oven_words
from proofpan.study.degrees import celsius, degree_of, degrees, in_its_degrees
from proofpan.study.errors import ProofpanError, QuantityError, TrialError
from proofpan.study.study import Study
from proofpan.study.trials import Trial
from proofpan.study.wording import spoken
from proofpan.study.words import capital, counted, version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.cook.page import CookPage, LivePart, SheetPart, TrayTrial, WeighLine
from proofpan.web.pages.cook.photographs import checked_photograph, shown_photograph
from proofpan.web.pages.cook.table import LARGEST, as_frame, rows_of, trials_and_marks
from proofpan.web.pages.day.live import clock, last_said, turns
from proofpan.web.pages.day.live import headline as headline_of
from proofpan.web.pages.day.route import DAY, clock_of, day_now, reported, undo_words
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
TABLE = "table"
PHOTOGRAPH, NOTE = "photograph", "note"
CLOCK = re.compile(r"\d{1,2}:\d{2}")
NEAR = 0.02
COLDEST_F, HOTTEST_F = -76.0, 572.0     # a core's −60 to 300 °C (study/trials.py)


def in_hand(study: Study, wanted: str) -> Trial | None:
    """The trial asked for, else the first of the newest round that has no sheet yet."""
    if wanted.isdigit() and (found := study.trial(int(wanted))) is not None:
        return found
    if not study.trial_records:
        return None
    newest = max(t.round for t in study.trial_records)
    trials = [t for t in study.trial_records if t.round == newest]
    return next((t for t in trials if not t.recorded), next((t for t in trials if still_in(study, t)), trials[0]))


def still_in(study: Study, trial: Trial) -> bool:
    """Whether the trial went in, hasn't come out, and nobody has tasted it: its sheet was kept to see to another."""
    heated = study.brief.base is not None and any(s.oven is not None or s.hob for s in study.brief.base.method)
    tasted = any((b.round, b.trial) == trial.key for b in study.ballot_records)
    return heated and CLOCK.fullmatch(trial.start) is not None and not (trial.out or trial.failed or tasted)


def as_one_trial(study: Study, trial: Trial) -> tuple[WorkedRecipe | None, str]:
    """The recipe in the amount that one trial makes, and that amount in words."""
    if study.brief.base is None:
        return None, ""
    worked = recipe(study, trial.version)
    makes = study.brief.base.trial_makes
    if makes and trial.size != "full":
        try:
            return for_the_bench(worked.scaled(makes=makes), study.brief.base), f"for {makes}"
        except QuantityError:
            return for_the_bench(worked, study.brief.base), "for the whole recipe"
    return for_the_bench(worked, study.brief.base), "for the whole recipe"


def _sheet(standing: Standing, trial: Trial) -> SheetPart:
    study = standing.study
    worked, size = as_one_trial(study, trial)
    held = dict(trial.weighed_amounts())
    weighs, method, oven, low, high = [], [], "", 0.0, 0.0
    if worked is not None:
        for i, line in enumerate(worked.lines):
            plan = sum(line.grams) / 2 if line.grams else None
            got = held.get(line.item, "").removesuffix("g").strip()
            weighs.append(WeighLine(f"w-{i}", line.item, _grams(plan) if plan else line.text, got, _off(plan, got)))
        method = [s.text for s in worked.method]
        steps = worked.base.method if worked.base else ()
        heated = next((s for s in steps if s.oven is not None), None) or next((s for s in reversed(steps) if s.hob and s.minutes), None)
        if heated is not None:
            low, high = heated.minutes or (0.0, 0.0)
            oven = (heated.oven.text if heated.oven else capital(heated.id)) + (f", until {heated.until}" if heated.until else "")
    photographs = tuple(str(e.payload["digest"]) for e in standing.of_kind(PHOTOGRAPH) if e.payload["trial"] == trial.trial)
    return SheetPart(
        number=trial.trial,
        words=capital(version_words(trial.version)),
        size_words=size,
        weighs=tuple(weighs),
        method=tuple(method),
        oven=oven,
        start=trial.start,
        out=trial.out,
        core="" if trial.core_c is None else degrees(trial.core_c, study.brief.kitchen),
        degree=degree_of(study.brief.kitchen),
        lot=trial.lot,
        failed=trial.failed,
        note=trial.note,
        full_size=trial.size == "full",
        minutes_low=low,
        minutes_high=high,
        photographs=photographs,
        together=_together(standing, trial),
    )


def _together(standing: Standing, trial: Trial) -> str:
    """What of the trial is made once with others of its round."""
    from proofpan.steps.day_lists import made_together

    round_ = next((r for r in standing.study.rounds if r.number == trial.round and any(t.trial == trial.trial for t in r.trials)), None)
    if round_ is None or standing.study.brief.base is None:
        return ""
    return standing.lasting(f"made together {round_.number}", lambda: made_together(standing.study, round_)).get(trial.trial, "")


def _grams(value: float) -> str:
    return f"{value:.0f}" if value >= 20 else f"{value:.1f}"


def _least(grams: float) -> str:
    """As much of a gap as a kitchen scale shows: whole grams from ten on, else two figures."""
    return f"{grams:.0f}" if grams >= 10 else f"{grams:.2g}"


def _off(plan: float | None, got: str) -> str:
    try:
        weighed = float(got)
    except ValueError:
        return ""
    if not plan:
        return ""
    gap = weighed - plan
    if abs(gap) <= NEAR * plan:
        return "as planned" if abs(gap) < 0.05 * max(1.0, plan / 100) else "as near as matters"
    return f"{_least(abs(gap))} g {'over' if gap > 0 else 'under'}, {100 * abs(gap) / plan:.0f} in 100"


def cook(desk: Desk, study_id: str, wanted: str = "") -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    here = in_hand(study, wanted)
    root = f"/study/{study_id}"
    shown = [t for t in study.trial_records if here is not None and t.round == here.round]
    loads: dict[str, list[TrayTrial]] = {}
    for t in shown:
        state = (
            f"Failed: {t.failed}"
            if t.failed
            else f"In since {t.start}."
            if still_in(study, t)
            else "Sheet filled in."
            if t.recorded
            else "In hand."
            if here and t.trial == here.trial
            else ""
        )
        place = f"{chr(64 + t.tray)} " if t.tray else ""
        place += str(t.place) if t.place else ""
        if t.tray and len(study.brief.kitchen.ovens) > 1:
            place += f", {oven_words(oven_of_tray(study.brief.kitchen.ovens, t.tray))}"
        loads.setdefault(f"Load {t.load}" if t.load else "Trials", []).append(
            TrayTrial(
                t.trial,
                capital(version_words(t.version)),
                place,
                state,
                bool(t.failed),
                here is not None and t.trial == here.trial,
                f"{root}/cook?trial={t.trial}",
                t.start if still_in(study, t) else "",
            )
        )
    done, inside = sum(t.recorded for t in shown), [t.trial for t in shown if still_in(study, t)]
    if here is None:
        headline, under = "Nothing is planned to cook.", "Plan a round, or write down what is cooked already."
    elif done == len(shown) and inside:
        headline = f"Trial {inside[0]} is still in." if len(inside) == 1 else f"Trials {spoken().joined(map(str, inside))} are still in."
        under = "Every other sheet is filled in. Write down when it comes out."
    elif done == len(shown):
        failed = sum(bool(t.failed) for t in shown)
        headline, under = f"All {len(shown)} are cooked{f'; {failed} failed' if failed else ''}. Taste them.", ""
    else:
        headline, under = f"Trial {here.trial}: {version_words(here.version)}.", f"{done} of {counted(len(shown), 'test sheet')} filled in."
    notes = tuple(
        f"Trial {e.payload['trial']}: {e.payload['words']}" if e.payload.get("trial") else str(e.payload["words"])
        for e in standing.of_kind(NOTE)
    )
    model = CookPage(
        live=_live(desk, standing, here),
        cooked=here is not None and done == len(shown) and not inside,
        moved_href=f"{root}/day/moved",
        headline=headline,
        under=under,
        loads=tuple((n, tuple(ts)) for n, ts in loads.items()),
        sheets=() if here is None else (_sheet(standing, here),),
        cautions=tuple(in_its_degrees(c, study.brief.kitchen) for c in cooking_cautions(study, [here.version])) if here is not None else (),
        notes=notes,
        versions=tuple((str(v), version_words(v)) for v in study.versions()[:60]),
        action=f"{root}/cook",
        next_href=f"{root}/tasting",
        next_words="Taste them",
        rounds_href=f"{root}/rounds",
    )
    return show("cook", model, desk.frame("Cook", standing, "cook", scripts=("keep", "far")))


def _live(desk: Desk, standing: Standing, here: Trial | None) -> LivePart | None:
    """What the day's plan says of the trial in hand: its task now or next, the clock, and what can be taken back; nothing when no day is planned for today."""
    if here is None or not standing.study.rounds or not standing.of_kind(DAY) or here.round != standing.study.rounds[-1].number:
        return None
    before, plan = day_now(standing)
    now, found = clock_of(desk), reported(standing)
    if not isinstance(plan, DayPlan):       # a day that has begun and has no plan any more says so here too, and what led to it can be taken back
        return LivePart((), str(plan), clock(now), undo_words(before, found), last_said(found)) if found and isinstance(before, DayPlan) else None
    if not found and (now.date() not in {t.start.date() for t in plan.day_tasks} or here.recorded):
        return None     # a kitchen that keeps its sheets and reports nothing of the day isn't told to begin what is cooked
    of_it = tuple(t for t in plan.day_tasks if t.kind == "cook" and (here.trial in t.trials or t.task == f"plate {here.trial}"))
    mine = plan.model_copy(update={"day_tasks": of_it})
    first = next(iter(turns(mine, before, found, now, one=True)), None)
    return LivePart(() if first is None else (first,), headline_of(plan, before, found), clock(now), undo_words(plan, found), last_said(found))


@router.get("/study/{study_id}/cook")
def get_cook(study_id: str, trial: str = "", desk: Desk = Depends(lead)) -> Response:
    """The trial in hand."""
    return cook(desk, study_id, trial)


@router.post("/study/{study_id}/cook")
def post_cook(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A test sheet filled in, a note, or something cooked already."""
    desk.typed = form.texts
    desk.again = lambda: cook(desk, study_id, form.get("trial"))
    what = form.get("what")
    if what == "note":
        if not form.get("words"):
            raise TrialError("Write the note first.", field="words")
        payload = {"trial": int(form.get("trial")) if form.get("trial").isdigit() else 0, "words": form.get("words")[:2000]}
        desk.book.append(study_id, NOTE, payload, key=f"note:{form.get('once') or secrets.token_hex(12)}")
        return go(f"/study/{study_id}/cook?trial={form.get('trial')}")
    standing = desk.standing(study_id)
    if what == "already":
        row, next_trial = _cooked_already(standing.study, form), ""
    else:
        row, next_trial = _filled_in(standing.study, form)
    keep_trial(desk, study_id, standing.study, row, form.get("once"))
    return go(f"/study/{study_id}/cook{f'?trial={next_trial}' if next_trial else ''}")


def keep_trial(desk: Desk, study_id: str, study: Study, row: dict[str, object], once: str) -> None:
    """Check a row against the study, then keep it."""
    import pandas as pd

    study.with_trials(pd.DataFrame([row]).astype(object))
    desk.book.append_many(study_id, [NewEvent(kind=TRIAL, payload=row, key=f"sheet:{once or secrets.token_hex(12)}")])


def _filled_in(study: Study, form: Typed) -> tuple[dict[str, object], str]:
    number = form.whole("trial", 0, 1, 100_000)
    trial = study.trial(number)
    if trial is None:
        raise TrialError(f"Trial {number} isn't in this study.")
    worked, _ = as_one_trial(study, trial)
    weighed = []
    for i, line in enumerate(worked.lines if worked is not None else ()):
        got = form.get(f"w-{i}").replace(",", ".").removesuffix("g").strip()
        if not got:
            continue
        try:
            if float(got) < 0:
                raise ValueError
        except ValueError:
            raise TrialError(f"{line.item}: “{got[:20]}” isn’t a weight in grams.", field=f"w-{i}") from None
        weighed.append(f"{line.item} {got} g")
    failed = form.get("failed") or ("it failed" if form.get("what") == "failed" else "")
    row: dict[str, object] = {"round": trial.round, "trial": number, "failed": failed or "no"}
    row |= {k: form.get(k) for k in ("start", "out", "core_c", "lot", "note") if form.get(k)}
    if "core_c" in row:
        row["core_c"] = str(row["core_c"]).replace(",", ".").removesuffix("C").removesuffix("°").strip()
    if form.get("core_f"):
        row["core_c"] = _core_in_celsius(form.get("core_f"))
    if form.get("full"):
        row["size"] = "full"
    if weighed:
        row["weighed"] = "; ".join(weighed)
    following = next((t.trial for t in study.trial_records if t.round == trial.round and t.trial > number and not t.recorded), None)
    return row, str(following or "")


def _core_in_celsius(typed_f: str) -> str:
    try:
        fahrenheit = float(typed_f.replace(",", ".").removesuffix("F").removesuffix("°").strip())
    except ValueError:
        raise TrialError(f"“{typed_f[:20]}” isn’t a number of degrees.", field="core_f") from None
    if not COLDEST_F <= fahrenheit <= HOTTEST_F:
        raise TrialError(f"“{typed_f[:20]}” isn’t between {COLDEST_F:g} and {HOTTEST_F:g} °F.", field="core_f")
    return f"{celsius(fahrenheit):.2f}"


def _cooked_already(study: Study, form: Typed) -> dict[str, object]:
    version = study.version(form.get("version"))
    number = max((t.trial for t in study.trial_records), default=0) + 1
    round_ = (
        max((t.round for t in study.trial_records), default=0) + 1
        if form.get("new_round") or not study.trial_records
        else max(t.round for t in study.trial_records)
    )
    row: dict[str, object] = {"round": round_, "trial": number, "version": str(version), "failed": form.get("failed") or "no"}
    if form.get("on"):
        row["start"] = form.get("on")
    if form.get("note"):
        row["note"] = form.get("note")
    if not form.get("blind"):
        row["blind"] = "no"
    return row


@router.post("/study/{study_id}/cook/table")
def post_table(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A table of what was cooked and marked already: all of it or nothing, and the same file again is nothing new."""
    desk.again = lambda: cook(desk, study_id, "")
    file = form.file("table")
    if file is None:
        raise TrialError("Choose a table first: a CSV, as a spreadsheet saves it.", field="table")
    data = file.file.read(LARGEST + 1)
    key = f"table:{hashlib.sha256(data).hexdigest()}"
    if not any(e.payload["key"] == key for e in desk.standing(study_id).of_kind(TABLE)):
        study = desk.standing(study_id).study
        trials, marks = trials_and_marks(study, rows_of(data))
        try:
            study = study.with_trials(as_frame(trials))
            if marks:
                study.with_ballots(as_frame(marks))
        except ProofpanError as error:
            raise TrialError(error.what, field="table") from None
        new = [NewEvent(kind=TRIAL, payload=row, key=f"{key}:t{i}") for i, row in enumerate(trials)]
        new += [NewEvent(kind=BALLOT, payload=row, key=f"{key}:b{i}") for i, row in enumerate(marks)]
        desk.book.append_many(study_id, [*new, NewEvent(kind=TABLE, payload={"key": key, "trials": len(trials)}, key=key)])
    return go(f"/study/{study_id}/cook")


@router.post("/study/{study_id}/trial/{number}/photograph")
def post_photograph(study_id: str, number: int, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A photograph of a trial, kept as it came."""
    desk.again = lambda: cook(desk, study_id, str(number))
    if desk.standing(study_id).study.trial(number) is None:
        raise TrialError(f"Trial {number} isn't in this study.")
    file = form.file("photograph")
    if file is None:
        raise TrialError("Choose or take a photograph first.", field="photograph")
    data = file.file.read()
    media_type = checked_photograph(data)
    entry = desk.book.keep_file(data, name=file.filename or "photograph", media_type=media_type)
    view = form.get("view")
    payload = {"trial": number, "digest": entry.digest, **({"view": view} if view in ("whole", "cut") else {})}
    desk.book.append(study_id, PHOTOGRAPH, payload, key=f"photograph:{number}:{entry.digest}")
    return go(f"/study/{study_id}/cook?trial={number}")


@router.get("/study/{study_id}/photograph/{digest}")
def get_photograph(study_id: str, digest: str, desk: Desk = Depends(lead)) -> Response:
    """A photograph of this study, to look at."""
    if not any(e.payload["digest"] == digest for e in desk.standing(study_id).of_kind(PHOTOGRAPH)):
        raise TrialError("That photograph isn't in this study.")
    return Response(shown_photograph(desk.book.read_file(digest)), media_type="image/jpeg")
