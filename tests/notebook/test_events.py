import json
import threading
from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from proofpan.notebook import Conflict, Event, NewEvent, Notebook, NotebookError

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@pytest.fixture
def dip(notebook):
    return notebook.create("Dip", "text").id


def test_an_event_has_a_number_a_time_and_what_was_said(notebook, dip):
    event = notebook.append(dip, "ballot", {"taster": "Ada", "scores": {"snap": 7.5}}, key="ada-417-1")
    assert event == Event(event.id, dip, "ballot", "ada-417-1", {"taster": "Ada", "scores": {"snap": 7.5}}, "2026-05-03T09:14:00.000Z")
    assert notebook.events(dip) == (event,)


def test_a_time_may_be_passed_in_and_is_kept_in_utc(notebook, dip):
    at = datetime(2026, 5, 3, 19, 0, tzinfo=timezone(timedelta(hours=10)))
    assert notebook.append(dip, "reading", {}, key="1", at=at).at == "2026-05-03T09:00:00.000Z"
    assert notebook.append(dip, "reading", {}, key="2", at="2026-05-03T19:00:00+10:00").at == "2026-05-03T09:00:00.000Z"
    with pytest.raises(NotebookError, match='"noon" isn\'t a time'):
        notebook.append(dip, "reading", {}, key="3", at="noon")


def test_the_same_event_again_is_the_same_event(notebook, dip, clock):
    first = notebook.append(dip, "ballot", {"a": 1, "b": 2}, key="k")
    clock.move(hours=1)
    assert notebook.append(dip, "ballot", {"b": 2, "a": 1}, key="k") == first
    assert notebook.events(dip) == (first,)


@pytest.mark.parametrize("kind, payload, person", [("ballot", {"a": 2}, None), ("note", {"a": 1}, None), ("ballot", {"a": 1}, "Bo")])
def test_another_event_under_the_same_key_is_a_conflict(notebook, dip, kind, payload, person):
    first = notebook.append(dip, "ballot", {"a": 1}, key="k")
    with pytest.raises(Conflict, match='key "k"'):
        notebook.append(dip, kind, payload, key="k", person=person)
    assert notebook.events(dip) == (first,)


def test_two_studies_may_use_the_same_key(notebook, dip):
    other = notebook.create("Dip", "text").id
    assert notebook.append(dip, "ballot", {"a": 1}, key="k") != notebook.append(other, "ballot", {"a": 2}, key="k")


def test_many_are_added_together_or_not_at_all(notebook, dip):
    notebook.append(dip, "ballot", {"a": 1}, key="1")
    with pytest.raises(Conflict):
        notebook.append_many(dip, [NewEvent("ballot", {"a": 5}, "5"), NewEvent("ballot", {"a": 2}, "1")])
    assert len(notebook.events(dip)) == 1
    added = notebook.append_many(dip, [{"kind": "ballot", "payload": {"a": n}, "key": str(n)} for n in (1, 2, 3)])
    assert notebook.events(dip) == added
    assert notebook.append_many(dip, []) == ()


def test_events_can_be_asked_for_by_kind_and_from_a_number_on(notebook, dip):
    added = [notebook.append(dip, kind, {}, key=str(n)) for n, kind in enumerate(["ballot", "reading", "ballot", "note"])]
    assert notebook.events(dip, "ballot") == (added[0], added[2])
    assert notebook.events(dip, ["reading", "note"]) == (added[1], added[3])
    assert notebook.events(dip, after=added[1].id) == tuple(added[2:])
    assert notebook.events(dip, limit=2) == tuple(added[:2])


def test_the_order_is_that_of_writing_though_the_clock_jumps_back(notebook, dip, clock):
    notebook.append(dip, "ballot", {}, key="first")
    clock.move(days=-400)
    notebook.append(dip, "ballot", {}, key="second")
    assert [e.key for e in notebook.events(dip)] == ["first", "second"]


@pytest.mark.parametrize(
    "kind, payload, key, why",
    [
        ("", {}, "k", "kind of an event is blank"),
        ("ballot", {}, " ", "key of an event is blank"),
        ("ballot", {"score": float("nan")}, "k", "can't be kept as JSON"),
        ("ballot", {"score": {1, 2}}, "k", "can't be kept as JSON"),
        ("ballot", [1], "k", "must be a mapping, not list"),
    ],
)
def test_an_event_that_cannot_be_kept_is_refused(notebook, dip, kind, payload, key, why):
    with pytest.raises(NotebookError, match=why):
        notebook.append(dip, kind, payload, key=key)


def test_a_mapping_with_an_unknown_or_missing_field_is_refused(notebook, dip):
    with pytest.raises(NotebookError, match='no field "score"'):
        notebook.append_many(dip, [{"kind": "ballot", "payload": {}, "key": "1", "score": 7}])
    with pytest.raises(NotebookError, match="needs a key"):
        notebook.append_many(dip, [{"kind": "ballot", "payload": {}}])


@given(payload=st.dictionaries(st.text(), JSON, max_size=5))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_json_holds_comes_back(notebook, dip, payload):
    event = notebook.append(dip, "note", payload, key=json.dumps(payload, sort_keys=True))
    assert event.payload == payload
    assert notebook.events(dip, after=event.id - 1, limit=1) == (event,)


def test_half_a_character_from_a_phone_is_kept(notebook, dip):
    event = notebook.append(dip, "note", {"words": "snaps \ud83d"}, key="1")
    assert notebook.events(dip) == (event,)


def test_threads_that_add_at_once_lose_and_double_nothing(notebook, dip):
    def taster(name):
        for n in range(10):
            notebook.append(dip, "ballot", {"n": n}, key=f"{name}-{n}")

    threads = [threading.Thread(target=taster, args=(name,)) for name in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    keys = [e.key for e in notebook.events(dip)]
    assert len(keys) == 200 and set(keys) == {f"{name}-{n}" for name in range(20) for n in range(10)}


def test_a_reader_that_follows_by_number_misses_nothing_while_others_write(where, notebook, dip):
    """Numbers of one study come into sight in their order, also from several connections of a server."""
    done = threading.Event()
    seen, last = [], 0

    def write(name):
        with Notebook.open(where) as own:
            for n in range(15):
                own.append(dip, "ballot", {}, key=f"{name}-{n}")

    threads = [threading.Thread(target=write, args=(name,)) for name in range(4)]
    for thread in threads:
        thread.start()
    while not done.is_set():
        if not any(thread.is_alive() for thread in threads):
            done.set()
        for event in notebook.events(dip, after=last):
            seen.append(event.key)
            last = event.id
    assert len(seen) == 60 == len(set(seen))


def test_the_same_key_from_many_threads_is_one_event(notebook, dip):
    found = []
    threads = [threading.Thread(target=lambda: found.append(notebook.append(dip, "ballot", {"a": 1}, key="k").id)) for _ in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 12 and len(set(found)) == 1
