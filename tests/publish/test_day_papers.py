"""The day's papers, read back by poppler: nothing off the sheet, nothing over anything else, nothing said twice, and in the trade's words."""

import re
import subprocess
from collections import Counter
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from markupsafe import escape

import proofpan as pp
from proofpan.publish import day_papers, sheets
from proofpan.publish.day_html import day_html
from proofpan.steps import day as day_step
from proofpan.steps.day_lists import day_lists, made_together
from proofpan.study.day import DayTask, OvenTurn
from proofpan.study.words import option_words
from tests.steps.day_dishes import dish

from .reading import words

WHEN = {"fry": {"start": "2026-06-05T09:00"}, "jar": {"eat": "2026-06-26T15:00"}, "film": {"start": "2026-06-05T09:00"}}
PAPERS = {
    "run sheet": lambda d, paper: day_papers.run_sheet_pdf(d.study, d.plan, paper=paper),
    "oven chart": lambda d, paper: day_papers.oven_chart_pdf(d.study, d.plan, paper=paper),
    "cutting plan": lambda d, paper: day_papers.cutting_plan_pdf(d.study, d.lists, paper=paper),
    "filming": lambda d, paper: day_papers.filming_sheet_pdf(d.study, d.plan, paper=paper),
    "test sheets": lambda d, paper: sheets.test_sheets_pdf(d.study, d.round, paper=paper),
    "blank sheets": lambda d, paper: sheets.blank_sheets_pdf(d.study, paper=paper),
    "ballots": lambda d, paper: sheets.paper_ballots_pdf(d.study, d.round, paper=paper),
    "labels": lambda d, paper: sheets.labels_pdf(d.round, paper=paper),
    "reveal": lambda d, paper: sheets.reveal_sheet_pdf(d.study, d.round, paper=paper),
    "shopping": lambda d, paper: sheets.shopping_list_pdf(d.study, d.lists, paper=paper),
    "prep": lambda d, paper: sheets.prep_list_pdf(d.study, d.lists, paper=paper),
    "tray map": lambda d, paper: sheets.tray_map_pdf(d.study, d.round, paper=paper),
}
SHEET_PT = {"a4": (595.3, 841.9), "us-letter": (612.0, 792.0)}      # ISO 216; ANSI/ASME Y14.1


@pytest.fixture(scope="module", params=WHEN)
def day(request, monkeypatch_module):
    """One dish: its study, round, plan and lists."""
    study = dish(request.param)
    round_ = pp.next_round(study, seed=7)
    study = study.with_round(round_)
    plan = day_step.plan_day(study, round=round_, **WHEN[request.param])
    return SimpleNamespace(name=request.param, study=study, round=round_, plan=plan, lists=day_lists(study, round_))


@pytest.fixture(scope="module")
def monkeypatch_module():
    """A shorter search: what is printed is looked at here, not how good the plan is."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(day_step, "EFFORT_S", 1.0)
        yield


def boxes(data):
    """[(page, word, x0, y0, x1, y1)] in points, by poppler."""
    said = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=data, capture_output=True, check=True).stdout.decode()
    out, page = [], 0
    for line in said.splitlines():
        page += "<page " in line
        found = re.search(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>', line)
        if found:
            out.append((page, found[5], *map(float, found.groups()[:4])))
    return out


def overlapping(found):
    """Pairs of words of which one covers a seventh of the other, without the tenth above and below that few letters reach."""
    found = [(page, word, x0, y0 + (y1 - y0) / 10, x1, y1 - (y1 - y0) / 10) for page, word, x0, y0, x1, y1 in found]
    for n, (page, word, a0, b0, a1, b1) in enumerate(found):
        for other_page, other, c0, d0, c1, d1 in found[n + 1 :]:
            if page == other_page:
                shared = max(0.0, min(a1, c1) - max(a0, c0)) * max(0.0, min(b1, d1) - max(b0, d0))
                if shared > 0.15 * min((a1 - a0) * (b1 - b0), (c1 - c0) * (d1 - d0)):
                    yield word, other


@pytest.mark.parametrize("paper", SHEET_PT)
@pytest.mark.parametrize("name", PAPERS)
def test_nothing_runs_off_the_sheet_and_no_word_stands_on_another(day, name, paper):
    wide, deep = SHEET_PT[paper]
    found = [b for b in boxes(PAPERS[name](day, paper)) if b[1] != "8063"]      # the reveal's printed ground
    edge = 12.0     # points: what a printer leaves free at the least, 4.2 mm, common practice
    assert [b for b in found if b[2] < edge or b[4] > wide - edge or b[3] < edge or b[5] > deep - edge] == []
    assert list(overlapping(found)) == []


def test_no_line_of_a_run_sheet_and_no_sentence_stands_twice(day):
    for sheet in day_papers.run_sheets(day.plan):
        lines = [tuple(line) for group in sheet["days"] for line in [[group["day"], *x] for x in group["lines"]]]
        assert [line for line, n in Counter(lines).items() if n > 1] == []
        said = [(group["day"], x[0], x[1], re.sub(r"^Trials? [\d, and]+: ", "", x[2]), x[3]) for group in sheet["days"] for x in group["lines"]]
        assert [x for x, n in Counter(said).items() if n > 1 and not x[3].startswith("hob")] == []
    sentences = [*day.plan.says, *day.plan.cautions]
    assert len(set(sentences)) == len(sentences)
    assert [a for a in sentences for b in sentences if a != b and a in b] == []


def test_a_step_made_once_is_named_once_whatever_its_batches(day):
    said = next((s for s in day.plan.says if s.startswith("Made once")), "")
    steps = [part.rsplit(" for trials ", 1)[0] for part in said.removeprefix("Made once, then divided: ").rstrip(".").split("; ")]
    assert len(set(steps)) == len(steps)


def test_the_run_sheet_bears_its_date_and_each_oven_once(day):
    text = words(day_papers.run_sheet_pdf(day.study, day.plan))
    assert "2026" in text.split("Careful")[0]
    assert "Turn the" not in text and all(t.oven in text for t in day.plan.ovens)
    assert any("Turn the" in s for s in day.plan.says) == bool(day.plan.ovens)


def test_the_prep_list_has_no_leftovers_and_the_shopping_list_has_them(day):
    assert "eft over" not in words(sheets.prep_list_pdf(day.study, day.lists))
    assert ("What will be left" in words(sheets.shopping_list_pdf(day.study, day.lists))) == bool(day.lists.left_over)


def test_the_tray_map_names_the_oven_of_each_tray(day):
    text = words(sheets.tray_map_pdf(day.study, day.round))
    if day.name == "film":      # two trays in the main oven, one in the small one
        assert "Main oven, tray 1" in text and "Main oven, tray 2" in text and "Small oven, tray 3" in text
        assert {(p.tray, p.oven) for p in day.lists.trays} == {(1, "main"), (2, "main"), (3, "small")}
        assert "Small oven" not in text.split("tray 3")[1]
    else:
        assert "oven" not in text and "tray" not in text


def test_nothing_hangs_in_sight_that_tells_a_version(day):
    told = {option_words(f.name, o.name).casefold() for f in day.study.factors for o in f.options} - {"none", "once", "twice"}
    for paper in (sheets.tray_map_pdf(day.study, day.round), sheets.labels_pdf(day.round), sheets.paper_ballots_pdf(day.study, day.round),
                  day_papers.cutting_plan_pdf(day.study, day.lists)):
        assert {w for w in told if w in words(paper).casefold()} == set()


def test_the_filming_sheet_says_which_hero_and_who_stays_out(day):
    text = words(day_papers.filming_sheet_pdf(day.study, day.plan))
    if day.name != "film":
        assert "Nothing is filmed on this day." in text and "ballots are in" not in text
        return
    assert "Hero 1: butter, no toasting" in text and "Hero 2: olive oil, no toasting" in text
    for group in day_papers.filming_lines(day.plan):
        for _, _, what, who, room in group["lines"]:
            assert "hero 1" in what.casefold() or "hero 2" in what.casefold() or "stand-in" in what
            assert room in ("anyone", "nobody else who has yet to mark", "nobody who has yet to mark")
            assert (room == "nobody else who has yet to mark") <= (who in ("Ada", "Bo"))


def test_a_cook_is_told_what_a_version_leaves_out_of_a_step_that_names_it(day):
    told = {t.trials: t.what for t in day.plan.day_tasks if t.task.startswith("boil")}
    for trials, what in told.items():
        mustard = {t.version["mustard"] for t in day.round.trials if t.trial in trials}
        assert ("(no yellow mustard seed here)" in what) == (mustard == {"none"})
    assert bool(told) == (day.name == "jar")


def test_the_web_page_of_the_day_holds_what_the_papers_hold(day):
    text = day_html(day.study, day.plan, day.lists)
    assert day_papers.day_title(day.plan) in text
    assert ("<h2>Filming</h2>" in text) == (day.name == "film") and ("<h2>Ovens</h2>" in text) == bool(day.plan.ovens)
    # a task's weights stand under its name, once; what isn't baked has no tray
    sections = [x.section for x in day.lists.prep]
    assert all(text.count(f"<h3>{escape(s)}</h3>") == 1 for s in set(sections))
    assert ('<th scope="col">Tray</th>' in text) == (day.name == "film")


@pytest.mark.parametrize("paper", SHEET_PT)
def test_an_oven_that_is_hot_at_the_very_end_of_three_days_keeps_its_words_on_the_chart(day, paper):
    at = [datetime(2026, 6, 4, 8), datetime(2026, 6, 6, 18)]
    turns = tuple(OvenTurn(oven="deck", temperature_c=230, turn=t, ready=t + timedelta(minutes=15), until=t + timedelta(minutes=40)) for t in at)
    plan = day.plan.model_copy(update={"ovens": turns, "day_tasks": tuple(
        DayTask(task=f"bake {n}", what="Bake", resource="deck", start=t + timedelta(minutes=15), end=t + timedelta(minutes=40)) for n, t in enumerate(at))})
    found = boxes(day_papers.oven_chart_pdf(day.study, plan, paper=paper))
    assert [w for w in found if w[4] > SHEET_PT[paper][0] - 40] == []      # the margin is 15 mm, 42.5 points
    assert sum(w[1] == "230" for w in found) == 4      # over each bar, and in each line of the list


LONG = ["Maximiliana-Theodora von Hohenfels", "Борис", "Ελένη Παπαδοπούλου", "Bo"]
LABELS = {      # usual sheets of labels, columns × rows of so many millimetres: common practice, no source
    "24 on A4": {}, "30 on Letter": {"paper": "us-letter"},
    "65 on A4": {"columns": 5, "rows": 13, "width_mm": 38.1, "height_mm": 21.2, "margin_x_mm": 4.7, "margin_y_mm": 10.7, "gap_mm": 2.5},
    "189 on A4": {"columns": 7, "rows": 27, "width_mm": 25.4, "height_mm": 10.0, "margin_x_mm": 8.5, "margin_y_mm": 13.5, "gap_mm": 2.5},
}


@pytest.fixture(scope="module")
def long_names():
    study = dish("fry")
    study = pp.Study.from_dict({**study.brief.model_dump(mode="json", exclude_defaults=True, by_alias=True), "tasters": LONG})
    return study, pp.next_round(study, seed=7)


@pytest.mark.parametrize("sheet", LABELS)
def test_labels_fill_their_sheet_and_a_long_name_stays_on_its_own(long_names, sheet):
    _, round_ = long_names
    given = LABELS[sheet]
    found = boxes(sheets.labels_pdf(round_, **given))
    codes = [w for w in found if w[1] in {p.code for p in round_.plates}]
    usual = sheets.LABEL_SHEETS[given.get("paper", "a4")]
    columns, rows, height = (given.get(n) or usual[n.removesuffix("_mm")] for n in ("columns", "rows", "height_mm"))
    # all but the last page are full: no row is pushed off by a tenth of a millimetre
    pages = Counter(w[0] for w in codes)
    assert list(pages.values())[:-1] == [columns * rows] * (len(pages) - 1) and sum(pages.values()) == len(round_.plates)
    assert list(overlapping(found)) == []
    point = 72 / 25.4
    top, deep = (given.get("margin_y_mm") or usual["margin_y"]) * point, height * point
    assert [w for w in found if int((w[3] - top) / deep) != int((w[5] - 1 - top) / deep)] == []      # each word within one row of labels


def test_labels_that_would_run_off_the_paper_are_refused(long_names):
    with pytest.raises(pp.ProofpanError, match="261.5 mm wide, the paper is 210 mm"):
        sheets.labels_pdf(long_names[1], columns=4)      # 4 × 63.5 and three gaps of 2.5


def test_every_page_of_a_paper_ballot_says_whose_it_is():
    study = dish("fry")
    round_ = pp.next_round(study, seed=7, passes=2)      # eight plates: two pages a taster
    pages = sheets_of(sheets.paper_ballots_pdf(study, round_))
    assert [next(t for t in round_.orders if t in page.split()) for page in pages] == ["Ada", "Ada", "Bo", "Bo"]


def test_each_cook_has_a_page_with_the_day_and_its_cautions_and_what_needs_nobody_stands_on_the_first(day):
    pages = sheets_of(day_papers.run_sheet_pdf(day.study, day.plan))
    people = [s.person for s in day.plan.run_sheets if s.person]
    if len(people) == 1:
        return
    assert all(any(page.startswith(p) and "2026" in page for page in pages) for p in people)
    if day.plan.cautions:
        assert sum("Careful." in page for page in pages) >= 1 + len(people)
    if any(not s.person for s in day.plan.run_sheets):
        assert "By itself" in pages[0] or "By itself" in pages[1] and not any(pages[1].startswith(p) for p in people)


def test_a_test_sheet_says_what_is_made_once_with_other_trials(day):
    together = made_together(day.study, day.round)
    text = words(sheets.test_sheets_pdf(day.study, day.round, together=together))
    shared = {n for t in day.plan.day_tasks if t.kind == "cook" and len(t.trials) > 1 for n in t.trials}
    assert set(together) == shared and text.count("Made once:") == len(shared)
    assert all(str(n) not in re.findall(r"\d+", said.split(". The amounts")[0]) for n, said in together.items())


def sheets_of(data):
    """The words of each page."""
    said = subprocess.run(["pdftotext", "-", "-"], input=data, capture_output=True, check=True).stdout.decode()
    return [" ".join(page.split()) for page in said.split("\f") if page.strip()]


def test_a_us_kitchen_turns_its_oven_to_what_the_dial_shows():
    study = dish("roast")       # 150 and 170 °C, in a US kitchen
    round_ = pp.next_round(study, seed=7)
    plan = day_step.plan_day(study.with_round(round_), round=round_, start="2026-06-05T08:00")
    for paper in (day_papers.oven_chart_pdf(study, plan), day_papers.run_sheet_pdf(study, plan)):
        text = words(paper)
        assert "300 °F" in text and "340 °F" in text and "°C" not in text.replace("63 °C at the middle", "")
    assert "core temperature, °F" in words(sheets.blank_sheets_pdf(study))


def test_a_name_too_long_for_its_cut_is_written_shorter():
    study = dish("fry")
    study = pp.Study.from_dict({**study.brief.model_dump(mode="json", exclude_defaults=True, by_alias=True),
                                "tasters": ["Beatriz-Anne Featherstonehaugh", "Bo", "Cy", "Di", "Em", "Fay"]})
    round_ = pp.next_round(study, seed=7)
    text = words(day_papers.cutting_plan_pdf(study, day_lists(study, round_)))
    assert "Beatriz-Anne" in text and "Featherstonehaugh" not in text


def test_the_oven_chart_shows_each_load_in_its_bar(day):
    bars = [o for t in day.plan.ovens for o in day_papers._loads_in(day.plan, t, day.plan.ovens[0].turn, 3600.0)]
    loads = {t.load for t in day.plan.day_tasks if t.resource in {o.oven for o in day.plan.ovens} and t.load}
    assert len({o["name"] for o in bars}) >= len({day_papers.load_words(x) for x in loads}) and all(o["from"] < o["to"] for o in bars)


def test_over_several_days_each_has_its_own_scale_on_the_oven_chart(day):
    turn = datetime(2026, 6, 4, 8)
    turns = tuple(OvenTurn(oven="deck", temperature_c=230, turn=t, ready=t + timedelta(minutes=15), until=t + timedelta(minutes=55))
                  for t in (turn, turn + timedelta(days=2)))
    plan = day.plan.model_copy(update={"ovens": turns, "day_tasks": tuple(
        DayTask(task=f"bake {n}", what="Bake", resource="deck", start=t.ready, end=t.until) for n, t in enumerate(turns))})
    found = boxes(day_papers.oven_chart_pdf(day.study, plan))
    assert sum(w[1] == "Bake" for w in found) == 4      # within each bar and in each line of the list: no bar is too narrow for its name


@pytest.mark.parametrize(("country", "said", "unsaid"), [
    ("US", ["stovetop", "gray card", "grains and beans"], ["hob", "grey", "pulses"]),
    ("UK", ["hob", "grey card", "grain and pulses"], ["stovetop", "gray"]),
])
def test_the_papers_fixed_words_follow_the_kitchens_country(country, said, unsaid, monkeypatch):
    """Words by country: common practice, no source."""
    monkeypatch.setattr(day_step, "EFFORT_S", 1.0)
    study = dish("fry")
    study = study.model_copy(update={"brief": study.brief.model_copy(update={
        "kitchen": study.brief.kitchen.model_copy(update={"country": country, "style": None})})})
    round_ = pp.next_round(study, seed=7)
    plan, lists = day_step.plan_day(study, round=round_, start="2026-06-05T09:00"), day_lists(study, round_)
    text = " ".join([words(day_papers.run_sheet_pdf(study, plan)), words(day_papers.oven_chart_pdf(study, plan)),
                     words(sheets.test_sheets_pdf(study, round_)), words(sheets.shopping_list_pdf(study, lists)), day_html(study, plan, lists)])
    for word in said:
        assert word in text, word
    for word in unsaid:
        assert not re.search(rf"\b{word}\b", text), word


LOIN = {
    "title": "Cured loin, poached", "question": "Salt?", "invented": True, "tasters": ["Ada", "Bo"], "attributes": [{"name": "flavour"}],
    "rounds": {"plates": 2, "loads": 1, "keeping": ["day 3"]}, "filming": {"presenter": "Ada", "hero": [{"cure": "25 g"}]},
    "kitchen": {"country": "DE", "people": ["Ada"], "hours": ["09:00-18:00"], "ovens": [{"name": "main", "trays": 2, "places": 2}]},
    "base": {"title": "Cured loin", "makes": "1 piece", "ingredients": ["1 kg pork loin", "25 g fine salt", "3 L water"], "method": [
        {"id": "cure", "do": "Rub the pork loin with the fine salt and keep it in the fridge.", "minutes": 7200, "hands": 15},
        {"id": "poach", "do": "Poach in the water at 80 °C, to 68 °C at the middle.", "minutes": 90, "hands": 10, "hob": "low"}]},
    "factors": [{"name": "cure", "options": [{"name": "25 g"}, {"name": "32 g", "edits": [{"set": "fine salt", "to": "32 g"}]}]}],
}


@pytest.fixture(scope="module")
def loin(monkeypatch_module):
    study = pp.Study.from_dict(LOIN)
    study = study.with_round(pp.next_round(study, seed=7))
    return study, study.rounds[0], day_step.plan_day(study, round=1, eat="2026-06-12T13:00")


def test_what_goes_into_no_oven_has_no_tray_of_one(loin):
    study, round_, _ = loin
    text = words(sheets.tray_map_pdf(study, round_)) + words(sheets.test_sheets_pdf(study, round_)) + str(day_lists(study, round_).trays)
    assert "Trials of round 1, in order" in text and "main" not in text and "tray 1" not in text and "oven’s door" not in text
    assert {p.code for p in round_.plates} <= set(re.findall(r"\d{3}", text))


def test_an_end_within_a_week_is_said_by_its_weekday(loin):
    _, _, plan = loin
    ends = {line[1] for sheet in day_papers.run_sheets(plan) for group in sheet["days"] for line in group["lines"]}
    assert any(re.fullmatch(r"(Thu|Fri) \d+:\d\d", end) for end in ends) and not [end for end in ends if "June" in end]


def test_the_first_hands_are_whosever_batch_it_is_that_they_begin(day):
    first = min(t.start for t in day.plan.day_tasks if t.kind != "keep")
    assert day.plan.says[0].startswith("Hands on from ") and f"{first:%H:%M}, the last mark" in day.plan.says[0]


SPIRALS = {
    "title": "Laminated spirals", "question": "Folds?", "invented": True, "tasters": ["Ada"], "attributes": [{"name": "layers"}], "rounds": {"plates": 2},
    "kitchen": {"country": "US", "people": ["Ada", "Bo"], "ovens": [{"name": "main", "trays": 2, "places": 2}]},
    "base": {"title": "Spirals", "makes": "12 spirals", "trial_makes": "6 spirals", "ingredients": [
        "4 cups bread flour", "1 1/4 cups whole milk", "1/2 cup granulated sugar", "2 tsp table salt", "2 tsp instant yeast", "10 oz unsalted butter", "1 egg",
        "2 tsp ground cinnamon"], "method": [
        {"id": "mix", "do": "Mix the bread flour, whole milk, granulated sugar, table salt and instant yeast to a smooth dough.", "minutes": 12},
        {"id": "chill", "do": "Chill the dough overnight in the refrigerator.", "minutes": 720, "hands": 2},
        {"id": "block", "do": "Beat the unsalted butter into a square and lock it into the dough.", "minutes": 15},
        {"id": "fold", "do": "Roll out and give three single folds.", "minutes": 30},
        {"id": "rest", "do": "Rest in the refrigerator.", "minutes": 60, "hands": 0},
        {"id": "shape", "do": "Dust with the ground cinnamon, roll up and cut.", "minutes": 25},
        {"id": "proof", "do": "Proof at 78 F, covered.", "minutes": [120, 150], "until": "half as tall again", "hands": 0},
        {"id": "bake", "do": "Brush with the egg and bake.", "minutes": [18, 22], "until": "deep gold", "oven": "375 F"},
        {"id": "cool", "do": "Cool on a rack.", "minutes": 25, "hands": 0}]},
    "factors": [{"name": "folds", "options": [{"name": "three"}, {"name": "four", "edits": [{"set": "fold.minutes", "to": 40}]}]}],
}


@pytest.mark.parametrize("paper", SHEET_PT)
def test_a_test_sheet_of_many_lines_and_steps_stays_on_its_one_page(paper):
    study = pp.Study.from_dict(SPIRALS)
    round_ = pp.next_round(study, seed=7)
    worked = {t.trial: pp.recipe(study, t.version).scaled(test_batch=True) for t in round_.trials}
    data = sheets.test_sheets_pdf(study, round_, worked=worked, together=made_together(study, round_), paper=paper)
    assert len({page for page, *_ in boxes(data)}) == len(round_.trials)
    text = words(data)
    assert "274 g (2 cups)" in text and "142 g (5 oz)" in text      # half of USDA's 137 g a cup of bread flour (from memory), of 283.5 g
