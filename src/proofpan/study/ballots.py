"""Ballots: one taster's answers about one plate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from proofpan.study.brief import Brief
from proofpan.study.errors import BallotError, did_you_mean, quoted
from proofpan.study.fields import Doc, plain_number
from proofpan.study.frames import NO, YES, Table, given, read_table
from proofpan.study.rounds import Round
from proofpan.study.trials import Trial
from proofpan.study.versions import Version, VersionFault, read_version

BALLOT_COLUMNS = ("round", "taster", "code", "trial", "version", "attribute", "score", "pass", "position", "time", "late",
                  "words", "set", "rank")
OVERALL = "overall"
Key = tuple[int, int, str, str, int]


class Ballot(Doc):
    """One answer: a score (or a rank within a set) for one attribute of one plate."""

    round: int
    trial: int
    taster: str
    attribute: str
    pass_: int = 1
    score: float | None = None
    set: int | None = None
    rank: float | None = None
    position: int | None = None
    time: str = ""
    late: bool = False
    words: str = ""

    @property
    def key(self) -> Key:
        """What a ballot is known by."""
        return (self.round, self.trial, self.taster, self.attribute, self.pass_)


class BallotReader:
    """Reads a table of ballots against a study's tasters, rounds, trials and attributes."""

    def __init__(self, brief: Brief, rounds: tuple[Round, ...], trials: Mapping[tuple[int, int], Trial]) -> None:
        self.brief = brief
        self.trials = dict(trials)
        self.scales = {a.name: a.scale for a in brief.attributes}
        self.scales.setdefault(OVERALL, (0.0, 10.0))
        self.tasters = {t.name: t for t in brief.tasters}
        self.codes = {(r.number, p.code): p for r in rounds for p in r.plates}
        self.round_codes = {r.number: [p.code for p in r.plates] for r in rounds}
        self.by_version: dict[tuple[int, Version], list[int]] = {}
        for trial in trials.values():
            self.by_version.setdefault((trial.round, trial.version), []).append(trial.trial)
        self.versions: dict[str, Version] = {}

    def read(self, frame: Any, known: Mapping[Key, Ballot]) -> dict[Key, Ballot]:
        """The ballots after a frame's rows were added.

        Raises: BallotError for unknown names, scores off the scale, or another score for a plate that has one.
        """
        table = read_table(frame, BALLOT_COLUMNS, BallotError, required=("taster", "attribute"))
        if not {"code", "trial", "version"} & set(table.columns):
            raise BallotError("A ballot names its plate: a column code, trial or version is missing.", file=table.file)
        if not {"score", "rank"} & set(table.columns):
            raise BallotError("A ballot holds an answer: a column score (or set and rank) is missing.", file=table.file)
        self._make_tasted_trials(table)
        out = dict(known)
        for i in range(table.length):
            ballot = self._row(table, i)
            if ballot is not None:
                out[ballot.key] = self._joined(out.get(ballot.key), ballot, table, i)
        return out

    def _fail(self, says: str, table: Table, row: int, column: str) -> BallotError:
        return BallotError(says, file=table.file, line=table.line(row), field=column)

    def _make_tasted_trials(self, table: Table) -> None:
        """Trials known only by a ballot (last year's notes) get the next numbers, in an order that the rows don't set."""
        if "version" not in table.columns:
            return
        wanted: set[tuple[int, Version]] = set()
        for i in range(table.length):
            if given(table.get("code", i)) or given(table.get("trial", i)) or not given(table.get("version", i)):
                continue
            wanted.add((self._round_of(table, i), self._version(table, i)))
        number = max((t.trial for t in self.trials.values()), default=0)
        for round_, version in sorted(wanted - set(self.by_version), key=lambda w: (w[0], str(w[1]))):
            number += 1
            self.trials[round_, number] = Trial(round=round_, trial=number, version=version, draft=self.brief.draft)
            self.by_version[round_, version] = [number]

    def _round_of(self, table: Table, row: int) -> int:
        text = table.get("round", row)
        if not given(text):
            return 1
        if not text.isdigit() or int(text) < 1:
            raise self._fail(f"{quoted(text)} isn't a round: a whole number from 1.", table, row, "round")
        return int(text)

    def _version(self, table: Table, row: int) -> Version:
        text = table.get("version", row)
        if text not in self.versions:
            try:
                self.versions[text] = read_version(self.brief, text)
            except VersionFault as fault:
                raise self._fail(str(fault), table, row, "version") from None
        return self.versions[text]

    def _row(self, table: Table, i: int) -> Ballot | None:
        round_ = self._round_of(table, i)
        taster = self._taster(table, i)
        trial, pass_ = self._plate(table, i, round_, taster)
        attribute = self._attribute(table, i)
        score = self._number(table, i, "score")
        rank = self._number(table, i, "rank")
        set_ = self._number(table, i, "set")
        if score is not None:
            low, high = self.scales[attribute]
            if not low <= score <= high:
                ends = f"{plain_number(low)} to {plain_number(high)}"
                raise self._fail(f"A score of {plain_number(score)} lies off the scale of {ends}.", table, i, "score")
        words, time = table.get("words", i), table.get("time", i)
        if score is None and rank is None and not given(words):
            return None
        if rank is not None and rank < 1:
            raise self._fail(f"{plain_number(rank)} isn't a rank: 1 is the preferred one.", table, i, "rank")
        position = self._number(table, i, "position")
        late = table.get("late", i).casefold()
        if late and late not in YES | NO and given(late):
            raise self._fail(f"{quoted(late)} is neither yes nor no.", table, i, "late")
        return Ballot(
            round=round_, trial=trial, taster=taster, attribute=attribute, pass_=pass_, score=score,
            rank=rank, set=None if set_ is None else int(set_),
            position=None if position is None else int(position), time=time if given(time) else "",
            late=late in YES, words=words if given(words) else "",
        )

    def _taster(self, table: Table, row: int) -> str:
        name = table.get("taster", row)
        if name in self.tasters:
            return name
        folded = [t for t in self.tasters if t.casefold() == name.casefold()]
        if folded:
            return folded[0]
        says = f"{quoted(name)} isn't a taster of this study. {did_you_mean(name, list(self.tasters))}"
        raise self._fail(says, table, row, "taster")

    def _attribute(self, table: Table, row: int) -> str:
        name = table.get("attribute", row)
        if name in self.scales:
            return name
        says = f"{quoted(name)} isn't judged in this study. {did_you_mean(name, list(self.scales))}"
        raise self._fail(says, table, row, "attribute")

    def _number(self, table: Table, row: int, column: str) -> float | None:
        text = table.get(column, row)
        if not given(text):
            return None
        try:
            value = float(text.replace(",", ".") if text.count(",") == 1 else text)
        except ValueError:
            raise self._fail(f"{quoted(text)} isn't a number.", table, row, column) from None
        if value != value or value in (float("inf"), float("-inf")):
            raise self._fail(f"{quoted(text)} isn't a finite number.", table, row, column)
        return value

    def _plate(self, table: Table, row: int, round_: int, taster: str) -> tuple[int, int]:
        """(trial, pass) of the plate that a row speaks of."""
        pass_ = self._number(table, row, "pass")
        code, number = table.get("code", row), table.get("trial", row)
        if given(code):
            plate = self.codes.get((round_, code))
            if plate is None:
                known = self.round_codes.get(round_, [])
                says = f"No plate of round {round_} bears the code {quoted(code)}. {did_you_mean(code, known)}"
                raise self._fail(says, table, row, "code")
            if plate.taster != taster:
                says = f"The code {code} is under a plate of {quoted(plate.taster)}, not of {quoted(taster)}."
                raise self._fail(says, table, row, "code")
            return plate.trial, plate.pass_
        if given(number):
            try:
                trial = int(float(number))
            except ValueError:
                raise self._fail(f"{quoted(number)} isn't a trial's number.", table, row, "trial") from None
            if (round_, trial) not in self.trials:
                there = ", ".join(str(t) for r, t in sorted(self.trials) if r == round_) or "none"
                says = f"Trial {trial} isn't in round {round_}: its trials are {there}."
                raise self._fail(says, table, row, "trial")
            return trial, int(pass_ or 1)
        if not given(table.get("version", row)):
            raise self._fail("A ballot names its plate by code, trial or version.", table, row, "code")
        found = self.by_version.get((round_, self._version(table, row)), [])
        if len(found) != 1:
            says = (f"{quoted(table.get('version', row))} was made {len(found)} times in round {round_}: "
                    "name the plate by its trial or code.")
            raise self._fail(says, table, row, "version")
        return found[0], int(pass_ or 1)

    def _joined(self, before: Ballot | None, ballot: Ballot, table: Table, row: int) -> Ballot:
        """The same ballot again fills in words and time; another score is refused."""
        if before is None:
            return ballot
        for name in ("score", "rank"):
            old, new = getattr(before, name), getattr(ballot, name)
            if old is not None and new is not None and old != new:
                says = (f"{ballot.taster} marked trial {ballot.trial} twice for {ballot.attribute}: "
                        f"{plain_number(old)} and {plain_number(new)}; keep one, or call the second pass 2.")
                raise self._fail(says, table, row, name)
        filled = {
            n: getattr(ballot, n)
            for n in ("score", "rank", "set", "position", "time", "words", "late")
            if getattr(ballot, n) not in (None, "", False)
        }
        return before.model_copy(update=filled)
