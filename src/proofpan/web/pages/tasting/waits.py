"""What must be noted on the test sheets before a plate may be served: its core temperature, and when it was cooked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from proofpan.notebook.shelf import TRIAL
from proofpan.steps.cautions import DEFER, Caution, cautions
from proofpan.steps.making import recipe_of
from proofpan.study.degrees import celsius, degree_of, degrees, in_its_degrees, reads_fahrenheit
from proofpan.study.kitchen import Kitchen
from proofpan.study.rounds import Round
from proofpan.study.trials import Trial
from proofpan.web.shelfcache import Standing

POULTRY_C, POULTRY_F = 74.0, 165.0  # US Food Code 2022, 3-401.11(A)(3); a longer hold at less is the kitchen's own process, cooked on here
ROUNDED = 0.01  # °C that a core typed in °F may lose when it is kept
CORE, COOKED = ("poultry", "meat"), ("poultry", "meat", "rice")
LONG = timedelta(hours=2)  # USDA FSIS, Danger Zone (40 °F – 140 °F): not left out over 2 hours, 1 hour when it is above 90 °F (32 °C)
AHEAD = timedelta(minutes=15)  # a clock a little slow, or a time typed a little early


@dataclass(frozen=True)
class Waits:
    """Sentences that stop the serving, and the one that a word on how the plates were held answers."""

    must: tuple[str, ...] = ()
    held: str = ""


def waits_of(standing: Standing, round_: Round | None, now: datetime) -> Waits:
    """What a round's trials still wait for; now has its zone."""
    study = standing.study
    base = study.brief.base
    if round_ is None or base is None:
        return Waits()
    must: list[str] = []
    long: list[str] = []
    for planned in round_.trials:
        trial = study.trial(planned.trial)
        if trial is not None and trial.failed:
            continue
        asked = [c for c in cautions(recipe_of(study, planned.version), base=base) if c.kind in COOKED]
        must += _core(planned.trial, trial, [c for c in asked if c.kind in CORE], study.brief.kitchen)
        if not asked:
            continue
        since = _since(standing, trial, now)
        if since is None:
            must.append(f"Trial {planned.trial}: note when it came out on the cook page, so that the time since it was cooked is known. "
                        f"{in_its_degrees(asked[0].says, study.brief.kitchen)}")
        elif since > LONG:
            long.append(f"trial {planned.trial} {_words(since)}")
    hot, cold = ("140 °F", "41 °F") if reads_fahrenheit(study.brief.kitchen) else ("60 °C", "5 °C")      # as the zone of danger is said there
    held = (
        f"Cooked more than two hours ago: {'; '.join(long)}. Serve it only if it was kept above {hot}, or cooled quickly and kept below {cold}, "
        f"all the while; else mark it not safe to taste on the cook page. {DEFER}"
        if long
        else ""
    )
    return Waits(tuple(must), held)


def _core(number: int, trial: Trial | None, asked: list[Caution], kitchen: Kitchen) -> list[str]:
    if not asked:
        return []
    says = in_its_degrees(asked[0].says, kitchen)
    if trial is None or trial.core_c is None:
        return [f"Trial {number}: note its core temperature on the cook page before it is served. {says}"]
    least_c = celsius(POULTRY_F) - ROUNDED if reads_fahrenheit(kitchen) else POULTRY_C
    if trial.core_c < least_c and asked[0].kind == "poultry":
        least = POULTRY_F if reads_fahrenheit(kitchen) else POULTRY_C
        return [f"Trial {number}: its core was {degrees(trial.core_c, kitchen)} {degree_of(kitchen)}, under {least:g}. Cook it on and note the new "
                f"reading, or mark it not safe to taste. {says}"]
    return []


def _since(standing: Standing, trial: Trial | None, now: datetime) -> timedelta | None:
    """How long ago it came out; a time of day is the last one before it was written down."""
    if trial is None or not trial.out:
        return None
    try:
        out = datetime.fromisoformat(trial.out)
        return now - out if out.tzinfo is not None else now.astimezone().replace(tzinfo=None) - out
    except ValueError:
        pass
    noted = [e.at for e in standing.of_kind(TRIAL) if str(e.payload.get("trial")) == str(trial.trial) and e.payload.get("out")]
    written = datetime.fromisoformat(noted[-1]).astimezone() if noted else now.astimezone()
    hour, minute = (int(part) for part in trial.out.split(":")[:2])
    out = written.replace(hour=hour, minute=minute, second=0, microsecond=0)
    return now - (out if out <= written + AHEAD else out - timedelta(days=1))


def _words(since: timedelta) -> str:
    hours, minutes = divmod(int(since.total_seconds() // 60), 60)
    return f"{hours} h {minutes:02d} min ago" if hours < 24 else f"{hours // 24} {'day' if hours < 48 else 'days'} ago"
