"""Counting back from the meal."""

from datetime import datetime, time

import pytest

from proofpan.science.daywork import After, DayworkError, Task, backward

NOON = datetime(2026, 5, 2, 12)  # a Saturday
SOURDOUGH = (
    Task("feed", "feed the starter", 10, hands=10),
    Task("ripe", "the starter ripens", 12 * 60, after=(After("feed"),)),
    Task("mix", "mix the dough", 30, hands=30, after=(After("ripe"),)),
    Task("proof", "cold proof", 16 * 60, after=(After("mix"),)),
    Task("bake", "bake", 50, hands=2, after=(After("proof"),)),
    Task("cool", "cool", 120, after=(After("bake"),)),
)


def test_a_48_h_start_for_saturday_noon_is_thursday_noon_and_past_on_friday():
    soak = (Task("soak", "the beans soak", 48 * 60),)
    found = backward(soak, NOON, now=datetime(2026, 5, 1, 9))
    assert found.start == datetime(2026, 4, 30, 12) and found.past
    assert found.next_eat == datetime(2026, 5, 3, 12) and found.next_start == datetime(2026, 5, 1, 12)
    assert found.says == (
        "A 48 h start for Saturday 2 May, 12:00 is Thursday 30 April, 12:00: past; the next is Friday 1 May, 12:00 for Sunday 3 May, 12:00.",
    )


def test_on_wednesday_the_same_start_is_still_to_come():
    found = backward((Task("soak", "the beans soak", 48 * 60),), NOON, now=datetime(2026, 4, 29, 9))
    assert not found.past and found.next_eat is None
    assert found.says == ("A 48 h start for Saturday 2 May, 12:00 is Thursday 30 April, 12:00.",)


@pytest.mark.parametrize(("minutes", "says"), [
    (8 * 60, "An 8 h start"), (18 * 60 + 8, "An 18 h 8 min start"), (11 * 60, "An 11 h start"), (85, "A 1 h 25 min start"), (80 * 60, "A 3 days 8 h start"),
    (12 * 60, "A 12 h start"), (18, "An 18 min start")])
def test_a_start_is_said_with_the_article_of_its_number(minutes, says):
    assert backward((Task("soak", "the beans soak", minutes),), NOON).says[0].startswith(says)


def test_a_sourdough_is_fed_thirty_one_and_a_half_hours_before():
    found = backward(SOURDOUGH, NOON)
    assert found.start == datetime(2026, 5, 1, 4, 30)  # 10 + 720 + 30 + 960 + 50 + 120 min = 31 h 30 min
    assert dict(found.latest)["bake"] == datetime(2026, 5, 2, 9, 10)
    assert [k for k, _ in found.latest] == ["feed", "ripe", "mix", "proof", "bake", "cool"]


def test_hands_are_moved_back_into_the_hours_in_which_they_work():
    found = backward(SOURDOUGH, NOON, hours=(time(7), time(22)))
    latest = dict(found.latest)
    assert latest["mix"] == datetime(2026, 5, 1, 16, 40)
    assert latest["feed"] == datetime(2026, 4, 30, 21, 50)  # not at half past four in the morning


def test_the_longer_of_two_ways_decides():
    brine = Task("brine", "brine", 12 * 60)
    dry = Task("dry", "dry", 8 * 60, after=(After("brine", 30),))
    rice = Task("rice", "rice", 20)
    plate = Task("plate", "plate up", 5, hands=5, after=(After("dry"), After("rice")))
    latest = dict(backward((brine, dry, rice, plate), NOON).latest)
    assert latest["rice"] == datetime(2026, 5, 2, 11, 35)
    assert latest["brine"] == datetime(2026, 5, 1, 15, 25)


def test_what_can_t_be_counted_back_is_refused():
    with pytest.raises(DayworkError, match="no tasks"):
        backward((), NOON)
    with pytest.raises(DayworkError, match="isn't a task"):
        backward((Task("a", "a", 5, after=(After("b"),)),), NOON)
    with pytest.raises(DayworkError, match="fit no day"):
        backward((Task("a", "the long stir", 300, hands=300),), NOON, hours=(time(8), time(10)))
