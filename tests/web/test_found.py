"""What each study found, as the notebook's list shows it."""

from proofpan.notebook import Notebook
from proofpan.notebook.shelf import keep_study
from proofpan.web.found import Findings
from proofpan.web.shelfcache import Shelf
from tests.kitchens import judged_study, plain


def test_a_list_works_out_what_there_is_time_for_and_keeps_it_until_the_study_changes(tmp_path):
    with Notebook.open(tmp_path / "n.sqlite") as book:
        for title in ("One", "Two", "Three"):
            keep_study(book, judged_study(plain(title=title), score=lambda v: 5 + 3 * (v["salt"] == "much"), times=3))
        findings, entries = Findings(Shelf(book)), book.studies()
        assert len(findings.of(entries, seconds=0)) == 1       # never nothing, however little time there is
        assert len(findings.of(entries, seconds=0)) == 2       # what was worked out stays, and one more comes
        found = findings.of(entries, seconds=60)
        assert len(found) == 3 and all(f.answers[0] == ("better", "Much beats little") for f in found.values())
        changed = next(e for e in entries if e.title == "Two")
        book.save(changed.id, plain(title="Two", question="What now?").to_yaml(), note="asked anew")
        again = findings.of(book.studies(), seconds=60)
        assert again[changed.id].question == "What now?"


def test_a_study_without_marks_says_how_far_it_is(tmp_path):
    with Notebook.open(tmp_path / "n.sqlite") as book:
        entry = keep_study(book, plain())
        (finding,) = Findings(Shelf(book)).of(book.studies(), seconds=0).values()
        assert entry.id and (finding.answers, finding.publish, finding.state) == ((), "", "A brief")
