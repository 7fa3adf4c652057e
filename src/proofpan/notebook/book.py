"""The notebook itself: opens the place, and hands each call to the module whose subject it is."""

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from . import backups, events, finding, originals, people, schema, studies, tastings
from .connection import Store
from .entries import (
    Event,
    Found,
    MediaEntry,
    NewEvent,
    PersonEntry,
    RevisionEntry,
    Seat,
    StudyEntry,
    StudyText,
    TastingEntry,
    Undone,
)
from .errors import NotebookError
from .place import Place, find_place
from .texts import stamp
from .together import Request, Together


def _now() -> datetime:
    return datetime.now(UTC)


class Notebook:
    """Every study of a kitchen. Open it with `Notebook.open`; any number of threads and processes may use it at once.

    Every call is one transaction: when it has returned, what it wrote is on disk; when it has raised, nothing was
    written. Every call may raise NotebookError (Busy when trying again may help).
    """

    def __init__(self, store: Store, clock: Callable[[], datetime]):
        self._store = store
        self._clock = clock
        self._together = Together(store)

    @classmethod
    def open(cls, where: str | Path | None = None, *, clock: Callable[[], datetime] = _now) -> "Notebook":
        """Open a notebook, making it where there is none and bringing an older one up to date (a copy is kept first).

        Args:
            where: a file, a folder or a postgresql:// address; None for PROOFPAN_NOTEBOOK or the user's data folder.
            clock: gives the time, with its zone.
        """
        place = find_place(where)
        schema.prepare(place, lambda old, version: backups.keep_copy(old, version, stamp(clock())))
        return cls(Store(place), clock)

    def close(self) -> None:
        """Let go of the notebook."""
        self._together.close()
        self._store.close()

    def __enter__(self) -> "Notebook":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    @property
    def place(self) -> Place:
        """Where it is kept: `.file` or `.server`, and `.media`; as text, without a password."""
        return self._store.place

    def _at(self) -> str:
        return stamp(self._clock())

    # -- studies ------------------------------------------------------------------------------------------------------

    def studies(self, *, with_deleted: bool = False) -> tuple[StudyEntry, ...]:
        """All studies, the one that changed last first."""
        with self._store.reading() as connection:
            return studies.listing(connection, with_deleted=with_deleted)

    def study(self, study_id: str) -> StudyEntry:
        """One study's line, deleted or not.

        Raises:
            NotFound: there is no such study.
        """
        with self._store.reading() as connection:
            return studies.entry(connection, study_id)

    def create(self, title: str, document: str, *, note: str = "", step: str = "", search_text: str | None = None) -> StudyEntry:
        """Start a study; its id is made from the title ("seeded-oat-crackers", then "seeded-oat-crackers-2").

        Args:
            title: shown in lists.
            document: the study as text, kept to the character.
            note: what this first revision is.
            step: the step that the study stands at, for lists.
            search_text: what a search reads beside the title; None for the document itself.
        """
        with self._store.writing() as connection:
            return studies.create(connection, title, document, note, step, search_text, self._at())

    def document(self, study_id: str, revision: int | None = None) -> StudyText:
        """A study's text, the newest or that of one revision.

        Raises:
            NotFound: there is no such study or revision.
        """
        with self._store.reading() as connection:
            return studies.document(connection, study_id, revision)

    def save(
        self,
        study_id: str,
        document: str,
        *,
        note: str,
        base_revision: int | None = None,
        title: str | None = None,
        step: str | None = None,
        search_text: str | None = None,
        goes_on: int | None = None,
    ) -> StudyEntry:
        """Keep a new revision; the same text as the newest makes none (title, step and search text are then updated).

        Args:
            study_id: which study.
            document: the whole text.
            note: what was changed, as an undo will name it.
            base_revision: the revision that the change was made upon; None to save whatever came between.
            title: the new title; None to keep it.
            step: the new step; None to keep it.
            search_text: what a search reads; None for the document itself.
            goes_on: the newest revision where this one carries on its change: an undo takes the whole run back.

        Raises:
            Conflict: base_revision isn't the newest any more; names both.
            NotFound: there is no such study.
        """
        with self._store.writing() as connection:
            change = studies.Change(document, note, title, step, search_text, goes_on)
            return studies.save(connection, study_id, change, base_revision, self._at())

    def history(self, study_id: str) -> tuple[RevisionEntry, ...]:
        """All revisions of a study, oldest first."""
        with self._store.reading() as connection:
            return studies.history(connection, study_id)

    def undo(self, study_id: str, *, base_revision: int | None = None) -> Undone:
        """Take back the latest change: the text before it becomes a new revision. Repeat it to go further back.

        Raises:
            Conflict: base_revision isn't the newest any more, or there is nothing to undo.
        """
        with self._store.writing() as connection:
            return studies.undo(connection, study_id, base_revision, self._at())

    def redo(self, study_id: str, *, base_revision: int | None = None) -> Undone:
        """Bring back what the latest undo took back; a change saved since then leaves nothing to bring back.

        Raises:
            Conflict: base_revision isn't the newest any more, or there is nothing to bring back.
        """
        with self._store.writing() as connection:
            return studies.redo(connection, study_id, base_revision, self._at())

    def delete(self, study_id: str) -> StudyEntry:
        """Put a study away: it leaves the list and the search and takes no more entries, and keeps all it has."""
        with self._store.writing() as connection:
            return studies.set_deleted(connection, study_id, self._at())

    def restore(self, study_id: str) -> StudyEntry:
        """Bring a deleted study back."""
        with self._store.writing() as connection:
            return studies.set_deleted(connection, study_id, None)

    # -- events -------------------------------------------------------------------------------------------------------

    def append(
        self,
        study_id: str,
        kind: str,
        payload: Mapping[str, Any],
        *,
        key: str,
        person: str | None = None,
        at: datetime | str | None = None,
        while_open: int | None = None,
    ) -> Event:
        """Add an event; it is on disk when this returns.

        Args:
            study_id: which study.
            kind: what sort of event (a ballot, a reading, …), the caller's word.
            payload: anything that JSON can hold.
            key: an idempotency key, one an event in a study: the same event again is the same event.
            person: set for what is private to one person: such an event stays out of exports and `remove_person`
                removes it.
            at: when it happened; None for now.
            while_open: a round whose tasting must be open for this to be added (an event that is there already is
                still acknowledged).

        Raises:
            Conflict: another event stands under this key, or the tasting is closed.
            NotFound: there is no such study.
        """
        new = NewEvent(kind, payload, key, person, None if at is None else stamp(at))
        return self.append_many(study_id, [new], while_open=while_open)[0]

    def append_many(
        self, study_id: str, new: Iterable[NewEvent | Mapping[str, Any]], *, while_open: int | None = None
    ) -> tuple[Event, ...]:
        """Add several events in one transaction: all of them or none. See `append`.

        Args:
            study_id: which study.
            new: events, or mappings with the fields of `NewEvent`.
            while_open: as for `append`.
        """
        rows = events.checked_events(new, self._at())
        return self._together.add(Request(study_id, rows, while_open))

    def append_soon(
        self,
        study_id: str,
        new: Iterable[NewEvent | Mapping[str, Any]],
        told: Callable[[NotebookError | None], None],
        *,
        while_open: int | None = None,
        token: str | None = None,
    ) -> None:
        """As `append_many`, without waiting: `told` hears none when the events are on disk, or why they aren't.

        Args:
            study_id: which study.
            new: events, or mappings with the fields of `NewEvent`.
            told: called once, by the notebook's own thread, which waits meanwhile.
            while_open: as for `append`.
            token: a taster's token that must still stand (NotFound otherwise), so that a caller may remember whose it is.

        Raises:
            NotebookError: an event that can't be kept; what the database says is told.
        """
        rows = events.checked_events(new, self._at())
        self._together.soon(Request(study_id, rows, while_open, None if token is None else tastings.digest_of(token), told))

    def events(
        self, study_id: str, kind: str | Iterable[str] | None = None, after: int = 0, *, limit: int | None = None
    ) -> tuple[Event, ...]:
        """A study's events in the order in which they were added, private ones too.

        Args:
            study_id: which study.
            kind: only this kind, or these.
            after: only those whose id is greater.
            limit: at most so many.
        """
        with self._store.reading() as connection:
            return events.listing(connection, study_id, kind, after, limit)

    # -- originals ----------------------------------------------------------------------------------------------------

    def keep_file(self, data: bytes | str | Path, *, name: str, media_type: str) -> MediaEntry:
        """Keep an original file; the same bytes again are the same file, under its first name.

        Args:
            data: the bytes, or the path of a file.
            name: what to call it.
            media_type: its kind, as in `image/jpeg`.
        """
        return originals.keep(self._store, data, name, media_type, self._at())

    def read_file(self, digest: str) -> bytes:
        """An original's bytes, checked against its digest.

        Raises:
            NotFound: there is no such file.
            NotebookError: its bytes are no longer those that were kept.
        """
        return originals.read(self._store, digest)

    def file_entry(self, digest: str) -> MediaEntry:
        """What is known of an original."""
        with self._store.reading() as connection:
            return originals.entry(connection, digest)

    def file_path(self, digest: str) -> Path:
        """Where an original lies, for a program that streams it; it must not be written."""
        return originals.path(self._store, digest)

    def files(self) -> tuple[MediaEntry, ...]:
        """All originals, oldest first."""
        with self._store.reading() as connection:
            return originals.listing(connection)

    # -- searching ----------------------------------------------------------------------------------------------------

    def search(self, words: str, limit: int = 20) -> tuple[Found, ...]:
        """Studies that hold all the words (or words that begin with them), best first; deleted ones left out."""
        with self._store.reading() as connection:
            return finding.search(connection, words, limit)

    # -- people and tastings ------------------------------------------------------------------------------------------

    def keep_person(self, study_id: str, name: str, facts: Mapping[str, Any]) -> PersonEntry:
        """Keep what is private about a person in a study (contact, no-list, consent), in place of what was kept."""
        with self._store.writing() as connection:
            return people.keep(connection, study_id, name, facts, self._at())

    def people(self, study_id: str) -> tuple[PersonEntry, ...]:
        """The people of a study, by name."""
        with self._store.reading() as connection:
            return people.listing(connection, study_id)

    def remove_person(self, study_id: str, name: str) -> int:
        """Remove a person for good, as if never asked: facts, words, tokens, marks, codes and their name. Says how many rows went or were changed."""
        with self._store.writing() as connection:
            removed = people.remove(connection, study_id, name, self._at())
        backups.forget_log(self._store)
        return removed

    def open_tasting(
        self,
        study_id: str,
        round_number: int,
        tasters: Iterable[str],
        *,
        make_token: Callable[[], str] = tastings.new_token,
    ) -> dict[str, str]:
        """Open a round's tasting; gives each taster's token, which the notebook itself can't show again.

        Args:
            study_id: which study.
            round_number: which round; each is tasted once.
            tasters: their names.
            make_token: gives a new token; those that are short need a limit on guesses.

        Raises:
            Conflict: this round's tasting is or was open.
        """
        with self._store.writing() as connection:
            return tastings.open_round(connection, study_id, round_number, tuple(tasters), make_token, self._at())

    def admit(self, study_id: str, round_number: int, taster: str, *, make_token: Callable[[], str] = tastings.new_token) -> str:
        """A token for a taster who comes late, or a new one in place of a lost one.

        Raises:
            Conflict: the tasting is closed.
        """
        with self._store.writing() as connection:
            return tastings.admit(connection, study_id, round_number, taster, make_token)

    def find_token(self, token: str, *, even_closed: bool = False) -> Seat | None:
        """Whose token this is (study_id, round_number, taster); None for an unknown one or a closed tasting's.

        Args:
            token: as the taster's phone sent it.
            even_closed: find it though its tasting is closed, to say so.
        """
        with self._store.reading() as connection:
            return tastings.find(connection, token, even_closed)

    def standing_tokens(self, tokens: Iterable[str]) -> set[str]:
        """Those of some tokens that are a taster's, the closed tastings' too: one look, however many."""
        by_digest = {tastings.digest_of(token): token for token in tokens}
        with self._store.reading() as connection:
            return {by_digest[d] for d in tastings.standing_tokens(connection, by_digest.keys())}

    def tastings(self, study_id: str) -> tuple[TastingEntry, ...]:
        """A study's tastings by round."""
        with self._store.reading() as connection:
            return tastings.listing(connection, study_id)

    def is_closed(self, study_id: str, round_number: int) -> bool:
        """Whether a tasting is over.

        Raises:
            NotFound: it was never opened.
        """
        with self._store.reading() as connection:
            return tastings.is_closed(connection, study_id, round_number)

    def close_tasting(self, study_id: str, round_number: int) -> TastingEntry:
        """Close a tasting for good; closing it again changes nothing."""
        with self._store.writing() as connection:
            return tastings.close(connection, study_id, round_number, self._at())

    # -- copies -------------------------------------------------------------------------------------------------------

    def backup(self, to: str | Path) -> Path:
        """Write everything, originals and private facts too, into one zip file.

        Args:
            to: the file to write, or a folder, in which it gets a name with the time.

        Raises:
            NotebookError: the file is there already, or can't be written.
        """
        return backups.backup(self._store, Path(to), self._at())

    def restore_from(self, path: str | Path) -> Path:
        """Make this notebook what a backup holds; gives the backup of what it was before.

        Raises:
            NotebookError: the file isn't a backup, is damaged or comes from a newer proofpan; nothing was changed.
        """
        return backups.restore(self._store, Path(path), self._at())

    def kept_aside(self) -> tuple[Path, ...]:
        """What a restore kept of the notebook before it, the newest first."""
        return backups.kept_aside(self._store)

    def export_all(self, folder: str | Path, *, with_people: bool = False) -> Path:
        """Write all studies as open files (text, JSON lines) into a new or empty folder; same notebook, same bytes.

        Args:
            folder: where to.
            with_people: take along what is private about people.
        """
        return backups.export_all(self._store, Path(folder), with_people)
