"""The day in lanes: each bar in words where there is room for any, nothing over anything else, names apart from what is scrolled."""

import re
from datetime import datetime, timedelta

import pytest

import proofpan as pp
from proofpan.study.day import DayPlan, DayTask
from proofpan.web.pages.day.lanes import Bar, bars_of, for_the_camera, run_together, words_on
from proofpan.web.pages.day.picture import LEFT, lanes_of
from tests.kitchens import crackers

START = datetime(2026, 6, 5, 9)


@pytest.fixture(scope="module")
def plan():
    study = crackers()
    round_ = pp.next_round(study, seed=2, loads=2)
    return pp.plan_day(study.with_round(round_), round=round_, start=START)



def task(name, minute, length, trial, who="Ada", kind="cook"):
    start = START + timedelta(minutes=minute)
    return DayTask(task=f"{name} {trial}", what=f"Trial {trial}: {name}", people=(who,), who=who, start=start, end=start + timedelta(minutes=length),
                   hands_until=start + timedelta(minutes=length), trials=(trial,), kind=kind)


def test_short_tasks_of_one_step_that_follow_each_other_are_one_bar():
    plan = DayPlan(day_tasks=(*(task("roll", 3 * n, 3, n + 1) for n in range(4)), task("roll", 30, 3, 5), task("fold", 33, 3, 5)), start=START)
    ada = dict(bars_of(plan, frozenset()))["Ada"]
    assert [(b.words, (b.end - b.start).total_seconds() / 60) for b in ada] == [
        ("Roll 1, 2, 3, 4", 12), ("Trial 5: roll", 3), ("Trial 5: fold", 3)]


def test_what_is_done_is_not_run_together_with_what_is_to_come():
    bars = [Bar("a", START, START + timedelta(minutes=3), "bar done", step="Roll", trials=(1,)),
            Bar("b", START + timedelta(minutes=3), START + timedelta(minutes=6), "bar", step="Roll", trials=(2,))]
    assert len(run_together(bars)) == 2


@pytest.mark.parametrize(("width", "free", "lines", "inside"), [
    (300, 0, ("Trials 2 and 6: Roll the dough out",), True),      # 34 letters of 8.2: 279 and the rims
    (100, 0, ("Roll 2, 6",), True), (44, 100, ("Roll", "2, 6"), True), (20, 100, ("Roll 2, 6",), False), (20, 50, ("Roll", "2, 6"), False), (12, 10, (), True)])
def test_a_bar_says_what_there_is_room_for(width, free, lines, inside):
    bar = Bar("Trials 2 and 6: Roll the dough out", START, START, "bar", short="Roll 2, 6", lines=("Roll", "2, 6"), step="Roll", trials=(2, 6))
    assert words_on(bar, width, free) == (lines, inside)


@pytest.mark.parametrize(("key", "lines"), [
    ("hero 2 bake", ("Hero 2", "bake")), ("hero bake", ("Hero", "bake")), ("swap-out 1 roll mix", ("Swap-out", "mix")),
    ("film hero 1 mix", ("Film", "hero 1 mix")), ("stand-in", ("Stand-in",)), ("bite hero", ("Bite", "hero"))])
def test_what_is_made_for_the_camera_is_named_in_short(key, lines):
    assert for_the_camera(key) == lines


def test_nearly_every_bar_of_a_day_is_in_words(plan):
    lanes = bars_of(plan, frozenset())
    drawn = re.findall(r'class="bar[^"]*" stroke-width="1.5"/>((?:<text[^>]*>[^<]*</text>)*)</g>', str(lanes_of(plan)))
    assert len(drawn) == sum(len(bars) for _, bars in lanes)
    assert sum(bool(words) for words in drawn) >= 0.9 * len(drawn) and any("to 170" in words for words in drawn)
    texts = re.findall(r'<text x="([\d.]+)" y="(\d+)"(?: text-anchor="start")?>([^<]*)</text>', "".join(drawn))
    said = sorted((float(y), float(x), float(x) + 8.2 * len(words)) for x, y, words in texts)
    wide = LEFT + int(re.search(rf'viewBox="{LEFT} 0 (\d+) ', str(lanes_of(plan)))[1])
    assert all(x1 <= wide + 1 for _, _, x1 in said)
    assert [(a, b) for a, b in zip(said, said[1:], strict=False) if a[0] == b[0] and b[1] < a[2] - 1] == []


def test_the_names_stand_apart_and_no_mark_stands_under_the_words_at_now(plan):
    picture = str(lanes_of(plan, now=START + timedelta(minutes=16)))
    names, lanes = picture.split('</svg>')[:2]
    assert 'class="names"' in names and f'viewBox="{LEFT} 0 ' in lanes and "t-lane" in names and "t-lane" not in lanes
    marks = [(float(x), words) for x, words in re.findall(r'<text x="([\d.]+)" y="18" text-anchor="\w+" class="t-soft">([^<]*)</text>', lanes)]
    left = float(re.search(r'class="now".*?<rect x="([\d.]+)"', lanes)[1])
    assert [words for x, words in marks if words and left - 30 < x < left + 96 + 30] == []
    assert sum(bool(words) for _, words in marks) >= 4


def test_a_day_of_many_short_tasks_grows_wider_until_its_bars_can_speak():
    short = [task("knead", 9 * n, 8, n + 1) if n % 2 else task("shape", 9 * n, 8, n + 1) for n in range(30)]
    picture = str(lanes_of(DayPlan(day_tasks=tuple(short), start=START)))
    assert 'class="lanes longest"' in picture and len(re.findall(">(?:Knead|Shape)[ <]", picture)) == 30
    assert 'class="lanes"' in str(lanes_of(DayPlan(day_tasks=tuple(short[:6]), start=START)))


def test_three_weeks_are_marked_by_days_that_keep_off_each_other():
    far = DayTask(task="keep 1", what="Keep the jar", start=START, end=START + timedelta(days=21), trials=(1,))
    picture = str(lanes_of(DayPlan(day_tasks=(task("fill", 0, 15, 1), far), start=START)))
    marks = [(float(x), words) for x, words in re.findall(r'<text x="([\d.]+)" y="18" text-anchor="middle" class="t-soft">([^<]*)</text>', picture)]
    assert len(marks) >= 6 and all(re.fullmatch(r"[A-Z][a-z]{2} \d+", words) for _, words in marks)
    assert all(b[0] - a[0] >= 8.2 * max(len(a[1]), len(b[1])) for a, b in zip(marks, marks[1:], strict=False))
