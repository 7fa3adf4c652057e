"""The second analysis on the verdict's page: a sentence, its table folded; and the same on the command line."""

import proofpan as pp
from proofpan.cli import main
from proofpan.steps.confirming import Confirmed, Confirming, confirm
from proofpan.web.pages.verdict.second import second_part
from proofpan.web.rendering import environment
from tests.kitchens import judged_study, plain


def shown(found):
    return environment().get_template("pages/verdict/second.html").render(second=second_part(found))


def test_the_sentence_comes_first_and_its_table_is_folded():
    study = judged_study(plain(tasters=4), score=lambda v: 5 + 2 * (v["salt"] == "much"), times=3)
    found = confirm(study, pp.judge(study))
    page = shown(found)
    assert page.index(found.says[0]) < page.index("<details") < page.index("<table>")
    assert page.count("<tr>") == 1 + len(found.rows)


def test_where_the_two_disagree_it_says_which_to_believe():
    row = Confirmed(factor="salt", option="much", against="little", difference=-0.4, low=-0.7, high=-0.1, df=9, p=0.0004, posterior=0.3,
                    agrees=False, says="Believe the verdict.")
    page = shown(Confirming(rows=(row,), says=("It agrees on 0 of 1 answers.", row.says), left_out=("taster:version",)))
    assert "Believe the verdict." in page and "disagrees" in page and "under 0.001" in page and "−0.40" in page and "taster and version" in page


def test_without_an_analysis_nothing_is_shown():
    assert shown(Confirming()).strip() == ""


def test_a_page_of_a_verdict_holds_it(kitchen, lead):
    from proofpan.notebook.shelf import keep_study

    study = judged_study(plain(tasters=4), score=lambda v: 5 + 2 * (v["salt"] == "much"), times=3)
    entry = keep_study(kitchen.book, study)
    page = lead.get(f"/study/{entry.id}/verdict")
    assert page.status == 200 and "A second analysis" in page.text and "classical analysis of the same marks agrees" in page.text


def test_the_command_line_shows_it_with_all(capsys, tmp_path):
    study = judged_study(plain(tasters=4), score=lambda v: 5 + 2 * (v["salt"] == "much"), times=3)
    path = tmp_path / "study.yaml"
    path.write_text(study.to_yaml(), encoding="utf-8")
    assert main(["verdict", str(path), "--all"]) == 0
    out = capsys.readouterr().out
    assert "classical analysis of the same marks" in out and "Satterthwaite" in out
    assert main(["verdict", str(path)]) == 0
    assert "Satterthwaite" not in capsys.readouterr().out
