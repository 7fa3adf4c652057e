"""A study: one question from brief to published recipe, with everything cooked and tasted on the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import PrivateAttr, ValidationError

from proofpan.study.amending import amended
from proofpan.study.ballots import Ballot, BallotReader
from proofpan.study.brief import Amendment, Attribute, Brief, Claim, Factor, Plan
from proofpan.study.elsewhere import Changed, KitchenMark
from proofpan.study.errors import StudyError, TrialError
from proofpan.study.fields import Doc
from proofpan.study.loading import load_brief
from proofpan.study.readings import TrialReading, read_readings
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.sittings import Answer, Sitting
from proofpan.study.source import Source, parse_source, read_source
from proofpan.study.trials import Trial, read_trials
from proofpan.study.versions import Version, VersionFault, complete, enumerate_versions, read_version
from proofpan.study.writing import as_file, to_yaml

if TYPE_CHECKING:
    import pandas as pd

TRIAL_FRAME = ("round", "trial", "version", "size", "draft", "load", "tray", "place", "lot", "day", "start", "out", "core_c",
               "weighed", "blind", "failed", "note")
BALLOT_FRAME = ("round", "taster", "trial", "version", "attribute", "score", "pass", "position", "time", "late", "words",
                "set", "rank")


class Study(Doc):
    """One question, its brief, and what was cooked and tasted for it. Every change hands back another study."""

    brief: Brief
    rounds: tuple[Round, ...] = ()
    trial_records: tuple[Trial, ...] = ()
    ballot_records: tuple[Ballot, ...] = ()
    reading_records: tuple[TrialReading, ...] = ()
    sittings: tuple[Sitting, ...] = ()
    answers: tuple[Answer, ...] = ()
    kitchen_marks: tuple[KitchenMark, ...] = ()
    changes: tuple[Changed, ...] = ()
    folder: str | None = None
    _versions: tuple[Version, ...] | None = PrivateAttr(default=None)
    _lines: dict[Any, int] | None = PrivateAttr(default=None)

    # ------------------------------------------------------------------ coming in
    @classmethod
    def load(cls, path: str | Path) -> Study:
        """A study from a YAML or TOML file.

        Raises: StudyError, one sentence with file, line and field.
        """
        source = read_source(path)
        return cls._from_source(source, Path(path).parent)

    @classmethod
    def from_dict(cls, mapping: Mapping[str, Any]) -> Study:
        """A study from a mapping with the file's keys."""
        return cls._from_source(Source(_plain_copy(mapping)), None)

    @classmethod
    def from_text(cls, text: str, *, toml: bool = False, folder: Path | None = None) -> Study:
        """A study from a file's text."""
        return cls._from_source(parse_source(text, None, toml=toml), folder)

    @classmethod
    def _from_source(cls, source: Source, folder: Path | None) -> Study:
        study = cls._of_source(source, folder)
        study._lines = source.lines or None
        return study

    @classmethod
    def _of_source(cls, source: Source, folder: Path | None) -> Study:
        brief = load_brief(source, folder=folder)
        record = source.value.get("record") or {}
        where = None if folder is None else str(folder)
        if not record:
            return cls(brief=brief, folder=where)
        try:
            return cls.model_validate({
                "brief": brief,
                "rounds": record.get("rounds", ()),
                "trial_records": record.get("trials", ()),
                "ballot_records": record.get("ballots", ()),
                "reading_records": record.get("readings", ()),
                "sittings": record.get("sittings", ()),
                "answers": record.get("answers", ()),
                "kitchen_marks": record.get("kitchens", ()),
                "changes": record.get("changes", ()),
                "folder": where,
            })
        except (ValidationError, AttributeError):
            line = source.line(("record",))
            raise StudyError("The record of what was cooked and tasted can't be read.", file=source.file,
                             line=line, field="record") from None

    # ------------------------------------------------------------------ reading
    @property
    def title(self) -> str:
        """What the study is called."""
        return self.brief.title

    @property
    def question(self) -> str:
        """What it asks."""
        return self.brief.question

    @property
    def factors(self) -> tuple[Factor, ...]:
        """What varies, without what was dropped."""
        kept = (f for f in self.brief.factors if f.dropped is None)
        return tuple(f if f.kept == f.options else f.model_copy(update={"options": f.kept}) for f in kept)

    @property
    def attributes(self) -> tuple[Attribute, ...]:
        """What is judged."""
        return self.brief.attributes

    @property
    def claims(self) -> tuple[Claim, ...]:
        """Sources to check; what we intend is in the kitchen's own measures unless a claim says otherwise."""
        home = self.brief.kitchen.country
        return tuple(c if c.ours_country or home is None else c.model_copy(update={"ours_country": home}) for c in self.brief.claims)

    @property
    def amendments(self) -> tuple[Amendment, ...]:
        """Dated changes of the brief."""
        return self.brief.amendments

    @property
    def tasters(self) -> tuple[str, ...]:
        """Names of those who taste now."""
        return tuple(t.name for t in self.brief.tasters if t.left is None)

    @property
    def plan(self) -> Plan:
        """How many loads a round has, and how many rounds there may be."""
        return self.brief.rounds

    @property
    def trials(self) -> pd.DataFrame:
        """Every trial, planned or cooked, in order."""
        import pandas as pd

        rows = [[getattr(t, c) if c != "version" else str(t.version) for c in TRIAL_FRAME] for t in self.trial_records]
        return pd.DataFrame(rows, columns=list(TRIAL_FRAME))

    @property
    def ballots(self) -> pd.DataFrame:
        """Every ballot, in order."""
        import pandas as pd

        version = {t.key: str(t.version) for t in self.trial_records}
        rows = [
            [b.round, b.taster, b.trial, version[b.round, b.trial], b.attribute, b.score, b.pass_, b.position, b.time,
             b.late, b.words, b.set, b.rank]
            for b in self.ballot_records
        ]
        return pd.DataFrame(rows, columns=list(BALLOT_FRAME))

    def versions(self) -> tuple[Version, ...]:
        """The versions that can be made, in order."""
        if self._versions is None:
            self._versions = enumerate_versions(self.brief)
        return self._versions

    def version(self, given: Any) -> Version:
        """A mapping or a text as a version of this study.

        Raises: StudyError for an unknown factor or option, or one that doesn't apply.
        """
        try:
            return read_version(self.brief, given)
        except VersionFault as fault:
            raise StudyError(str(fault)) from None

    def trial(self, number: int) -> Trial | None:
        """The trial of that number."""
        return next((t for t in self.trial_records if t.trial == number), None)

    def line_of(self, kind: str, name: str) -> int | None:
        """The line of the file on which an ingredient (by its text) or a step (by its id) of the base recipe stands."""
        if self._lines is None or self.brief.base is None:
            return None
        if kind == "step":
            found = [i for i, s in enumerate(self.brief.base.method) if s.id == name]
            return self._lines.get(("base", "method", found[0])) if found else None
        if kind in ("makes", "shown"):
            return self._lines.get(("base", kind))
        places = sorted(p for p in self._lines if p[:2] == ("base", "ingredients") and (
            (len(p) == 3 and (*p, "items") not in self._lines) or (len(p) == 5 and p[3] == "items")))
        found = [i for i, x in enumerate(self.brief.base.ingredients) if x.text == name]
        return self._lines[places[found[0]]] if found and found[0] < len(places) else None

    @property
    def cooked(self) -> tuple[Trial, ...]:
        """Trials with a row or a ballot."""
        tasted = {(b.round, b.trial) for b in self.ballot_records}
        measured = {r.trial for r in self.reading_records}
        return tuple(t for t in self.trial_records if t.recorded or t.key in tasted or t.trial in measured)

    @property
    def ways_made(self) -> int:
        """How many different versions came out; what was made before a late idea was made without it, so it isn't another way."""
        return len({complete(self.brief, t.version) for t in self.cooked if not t.failed})

    # ------------------------------------------------------------------ going on
    def amend(
        self,
        *,
        add: Mapping[str, Any] | None = None,
        drop: Mapping[str, Any] | None = None,
        base: Sequence[Any] | None = None,
        why: str = "",
        on: date | str | None = None,
    ) -> Study:
        """The study after a dated change of its brief; earlier trials stand.

        Parameters: add, `{"factor": {...}}`, `{"option": {"factor": "fat", ...}}`, `{"taster": "Cleo"}`; drop, likewise by
        name; base, edits that make the next draft of the base recipe; why, in words; on, the date.

        Raises: StudyError.
        """
        day = date.fromisoformat(on) if isinstance(on, str) else on
        folder = None if self.folder is None else Path(self.folder)
        after = max([r.number for r in self.rounds] + [t.round for t in self.trial_records], default=0)
        brief = amended(self.brief, add, drop, base, why, day, after, folder)
        return self.model_copy(update={"brief": brief})._fresh()

    def with_round(self, round_: Round) -> Study:
        """The study with a round's trials planned; the same round again replaces itself while nothing was cooked of it."""
        cooked = {t.key for t in self.cooked}
        kept = {t.key: t for t in self.trial_records if t.round != round_.number or t.key in cooked}
        for planned in round_.trials:
            key = (round_.number, planned.trial)
            if key in kept and kept[key].version != planned.version:
                raise TrialError(f"Trial {planned.trial} of round {round_.number} was cooked as another version.")
            kept.setdefault(key, Trial(
                round=round_.number, trial=planned.trial, version=planned.version, load=planned.load, tray=planned.tray,
                place=planned.place, lot=planned.lot, why=planned.why, draft=self.brief.draft, planned=True,
                size=planned.size,
            ))
        others = tuple(r for r in self.rounds if r.number != round_.number)
        rounds = tuple(sorted((*others, round_), key=lambda r: r.number))
        return self.model_copy(update={"rounds": rounds, "trial_records": _sorted_trials(kept)})

    def round_of(self, number: int) -> Round | None:
        """A round by its number: as it was planned, else the trials that a table says belong to it; none where there are neither."""
        planned = next((r for r in self.rounds if r.number == number), None)
        listed = tuple(
            PlannedTrial(trial=t.trial, version=t.version, load=t.load, tray=t.tray, place=t.place, lot=t.lot, size=t.size)
            for t in self.trial_records if t.round == number
        )
        return planned or (Round(number=number, trials=listed) if listed else None)

    def with_trials(self, frame: pd.DataFrame | str | Path) -> Study:
        """The study with what was cooked, from a frame or a CSV's path.

        Raises: TrialError.
        """
        known = {t.key: t for t in self.trial_records}
        return self.model_copy(update={"trial_records": _sorted_trials(read_trials(self.brief, known, frame))})

    def with_ballots(self, frame: pd.DataFrame | str | Path) -> Study:
        """The study with what was tasted, from a frame or a CSV's path.

        Raises: BallotError.
        """
        reader = BallotReader(self.brief, self.rounds, {t.key: t for t in self.trial_records})
        ballots = reader.read(frame, {b.key: b for b in self.ballot_records})
        ordered = tuple(ballots[k] for k in sorted(ballots))
        return self.model_copy(update={"trial_records": _sorted_trials(reader.trials), "ballot_records": ordered})

    def with_readings(self, frame: pd.DataFrame | str | Path) -> Study:
        """The study with what was measured: trial, attribute, value[, error_sd, n, how, file].

        Raises: TrialError.
        """
        trials = {t.trial: t for t in self.trial_records}
        readings = read_readings(self.brief, trials, {r.key: r for r in self.reading_records}, frame)
        return self.model_copy(update={"reading_records": tuple(readings[k] for k in sorted(readings))})

    def with_sitting(self, sitting: Sitting) -> Study:
        """The study with another ballot laid for a round's plates; the same number again replaces it."""
        kept = {s.number: s for s in self.sittings} | {sitting.number: sitting}
        return self.model_copy(update={"sittings": tuple(kept[n] for n in sorted(kept))})

    def with_answers(self, answers: Sequence[Answer]) -> Study:
        """The study with answers of such a ballot; the first of two to the same plates stands."""
        kept = {a.key: a for a in (*answers, *self.answers)}
        return self.model_copy(update={"answers": tuple(kept[k] for k in sorted(kept))})

    def with_elsewhere(self, marks: Sequence[KitchenMark] | None = None, changes: Sequence[Changed] | None = None) -> Study:
        """The study with what other kitchens marked, or what changed since older trials, in place of what it held; None leaves either."""
        new = {"kitchen_marks": None if marks is None else tuple(marks), "changes": None if changes is None else tuple(changes)}
        return self.model_copy(update={k: v for k, v in new.items() if v is not None})

    def to_yaml(self, *, record: bool = True) -> str:
        """The study as a YAML file that loads again; with what was cooked and tasted unless `record` is False."""
        return to_yaml(as_file(self.brief, self._record() if record else None))

    def _record(self) -> dict[str, Any]:
        parts = {"rounds": self.rounds, "trials": self.trial_records, "ballots": self.ballot_records,
                 "readings": self.reading_records, "sittings": self.sittings, "answers": self.answers,
                 "kitchens": self.kitchen_marks, "changes": self.changes}
        return {n: [d.model_dump(mode="json", exclude_defaults=True) for d in docs] for n, docs in parts.items() if docs}

    def _fresh(self) -> Study:
        return Study(brief=self.brief, rounds=self.rounds, trial_records=self.trial_records,
                     ballot_records=self.ballot_records, reading_records=self.reading_records, sittings=self.sittings,
                     answers=self.answers, kitchen_marks=self.kitchen_marks, changes=self.changes, folder=self.folder)


def _sorted_trials(trials: Mapping[tuple[int, int], Trial]) -> tuple[Trial, ...]:
    return tuple(trials[k] for k in sorted(trials))


def _plain_copy(value: Any) -> Any:
    """A mapping's own copy, tuples as lists, so that nothing outside can change the study."""
    if isinstance(value, Mapping):
        return {str(k): _plain_copy(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain_copy(v) for v in value]
    return value
