"""Renders everything that leaves a notebook into a folder: `python -m tests.publish.every_output NOTEBOOK FOLDER SECONDS_LATER`.

Run in a process of its own by test_same_bytes.py, under another hash seed, zone, locale and time of day each time.
"""

import json
import sys
import time
from datetime import UTC, date, datetime
from pathlib import Path

ON = date(2026, 6, 20)


def render(where, folder):
    """Write every output of the notebook's only study."""
    import proofpan as pp
    from proofpan.notebook import Notebook
    from proofpan.notebook.shelf import read_study
    from proofpan.publish import card, charts, day_papers, presenter, report, sheets
    from proofpan.publish.day_html import day_html
    from proofpan.publish.tester import tester_form_html, tester_pack_pdf
    from proofpan.steps.confirming import confirm
    from proofpan.steps.crosstest import cross_test
    from proofpan.steps.day import plan_day
    from proofpan.steps.day_lists import day_lists
    from proofpan.steps.edition import WAIVABLE, publish
    from proofpan.steps.recipe import recipe
    from proofpan.steps.tester_pack import tester_pack

    folder.mkdir(parents=True)

    def put(name, made):
        (folder / name).write_bytes(made if isinstance(made, bytes) else made.encode())

    with Notebook.open(where, clock=lambda: datetime(2026, 6, 20, 9, tzinfo=UTC)) as book:
        entry = book.studies()[0]
        study = read_study(book, entry.id)
        put("found.txt", repr(book.search("crackers butter")))
        book.export_all(folder / "export")
        book.export_all(folder / "export-with-people", with_people=True)
        book.backup(folder / "backup.zip")
    round_ = study.rounds[0]
    verdict = pp.judge(study)
    version = verdict.publish.version
    tests = cross_test(study.brief.base, folder.parent / "answers.csv")
    made = recipe(study, version, cross_tests=tests)
    edition = publish(study, version, waive=dict.fromkeys(WAIVABLE, "for now"), on=ON, approved_by="Ada")
    second, pack = confirm(study, verdict).says, tester_pack(study, version, tester="Ines")
    for name, worked in (("card", made), ("card-us", made.to("US")), ("card-uk", made.in_house("UK")), ("card-double", made.scaled(by=2))):
        put(f"{name}.html", card.recipe_card_html(worked, verdict, edition=edition, on=ON))
        put(f"{name}.txt", worked.text())
        put(f"{name}.json", json.dumps(worked.jsonld(), ensure_ascii=False))
        put(f"{name}-whole.json", worked.model_dump_json())
    for paper in card.PAPERS:
        put(f"card-{paper}.pdf", card.recipe_card_pdf(made, paper=paper, verdict=verdict, edition=edition, on=ON))
    told = {"recipe": made, "cross_test": tests, "second": second, "edition": edition, "on": ON, "generated": ON}
    put("how-we-tested.html", report.how_we_tested_html(study, verdict, **told))
    put("how-we-tested.pdf", report.how_we_tested_pdf(study, verdict, **told))
    for closed in (True, False):
        put(f"presenter-{closed}.pdf", presenter.presenter_sheet_pdf(study, verdict, closed, edition=edition, on=ON))
    for size in presenter.SIZES:
        put(f"chart-{size[0]}.png", presenter.chart_image_png(verdict, size, note="Invented."))
    put("grid.svg", charts.versions_grid(verdict.rows, [(f.name, [o.name for o in f.options]) for f in study.factors], trays="oven"))
    put("tester.html", tester_form_html(pack))
    put("tester.pdf", tester_pack_pdf(pack))
    plan, lists = plan_day(study, round=round_, start="2026-06-05T09:00"), day_lists(study, round_)
    put("day.html", day_html(study, plan, lists))
    put("day.csv", plan.tasks.to_csv(index=False))
    put("run-sheet.pdf", day_papers.run_sheet_pdf(study, plan))
    put("oven-chart.pdf", day_papers.oven_chart_pdf(study, plan))
    put("cutting-plan.pdf", day_papers.cutting_plan_pdf(study, lists))
    put("filming.pdf", day_papers.filming_sheet_pdf(study, plan))
    put("test-sheets.pdf", sheets.test_sheets_pdf(study, round_, worked={round_.trials[0].trial: made}))
    put("blank-sheets.pdf", sheets.blank_sheets_pdf(study))
    put("ballots.pdf", sheets.paper_ballots_pdf(study, round_))
    put("labels.pdf", sheets.labels_pdf(round_))
    put("reveal.pdf", sheets.reveal_sheet_pdf(study, round_))
    put("shopping.pdf", sheets.shopping_list_pdf(study, lists))
    put("prep.pdf", sheets.prep_list_pdf(study, lists))
    put("tray-map.pdf", sheets.tray_map_pdf(study, round_))
    put("contact-sheet.pdf", sheets.contact_sheet_pdf(study, presenter.chart_image_png(verdict), labelled=True))
    put("study.yaml", study.to_yaml(record=True))
    put("edition.json", edition.model_dump_json())
    put("verdict.json", verdict.model_dump_json())
    put("verdict.csv", verdict.table().to_csv(index=False))
    put("effects.csv", verdict.effects().to_csv(index=False))
    put("ballots.csv", study.ballots.to_csv(index=False))


if __name__ == "__main__":
    later, real = float(sys.argv[3]), (time.time, time.localtime, time.gmtime)
    time.time = lambda: real[0]() + later
    time.localtime = lambda seconds=None: real[1](time.time() if seconds is None else seconds)
    time.gmtime = lambda seconds=None: real[2](time.time() if seconds is None else seconds)
    render(Path(sys.argv[1]), Path(sys.argv[2]))
