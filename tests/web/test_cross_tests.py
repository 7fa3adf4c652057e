"""Cross-tests on the pages: packs out on paper, as a file and by link; six answers back, one with a swap; what they say."""

import base64
import json

import pytest

from proofpan.notebook.shelf import read_study
from proofpan.publish.tester import tester_form_html
from proofpan.steps.tester_pack import tester_pack

from .conftest import CRACKERS, crackers

FIRST = "fat=butter; rest=none; malt syrup=none; oven=170"
PIXEL = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==")


def form_of(tester, **more):
    """A tester's answers as their form saves them."""
    study = __import__("proofpan").Study.load(CRACKERS)
    pack = tester_pack(study, FIRST)
    answers = {"tester": tester, "worked": "yes", "made": "2026-05-02", "oven": "fan", "oven_c": "170", **more}
    held = {"form": "proofpan cross-test", "format": 1, "version": pack.version, "measures": pack.measures, "digest": pack.digest}
    return json.dumps({**held, "answers": answers}).encode()


SIX = [form_of("Home 1", **{"time-bake": "22", "unclear-mix": "yes", "words-mix": "how fine?"}), form_of("Home 2", **{"time-bake": "25"}),
       form_of("Home 3", **{"time-bake": "24", "unclear-mix": "yes"}),
       form_of("Home 4", **{"time-bake": "31", "swaps": "margarine for butter"}),
       form_of("Home 5", **{"time-bake": "27", "unclear-bake": "yes"}),
       form_of("Home 6", **{"time-bake": "24", "photo": "data:image/png;base64," + base64.b64encode(PIXEL).decode()})]


@pytest.fixture
def study(lead):
    return crackers(lead)


def test_six_forms_come_back_and_the_swap_stands_apart(lead, study):
    files = [("answers", (f"answers-{i}.json", data, "application/json")) for i, data in enumerate(SIX)]
    page = lead.post(f"{study}/cross-tests/answers", version=FIRST, files=files)
    assert page.status == 200, page.wrong
    assert page.headline == "It worked 5 of 5 times in other kitchens."
    assert "fail up to 45 times in 100" in page.text          # 0 of 5: 1 − 0.05^(1/5) = 0.451 (Clopper & Pearson 1934)
    assert "Print 22 to 27 minutes, and start looking at 20" in page.text
    assert "margarine for butter" in page.text and "stands apart" in page.text
    assert "Rewrite" in page.text and "how fine?" in page.text and "Ask the tester" in page.text
    assert "another kitchen would take" in page.text
    photo = page.all(r'href="([^"]*/photograph/\w+)"')[0]
    assert lead.client.get(photo).content == PIXEL


def test_the_same_file_twice_counts_once_and_a_report_can_be_taken_back(lead, study):
    for _ in range(2):
        page = lead.post(f"{study}/cross-tests/answers", version=FIRST, files=[("answers", ("a.json", SIX[1], "application/json"))])
    assert "1 of 1 time" in page.headline
    key = page.all(r'name="key" value="([^"]+)"')[0]
    assert "Nobody else" in lead.post(f"{study}/cross-tests/take-back", version=FIRST, key=key).headline


def test_a_csv_is_taken_in_too(lead, study):
    data = b"tester,worked,out_min,times\nHome 1,yes,22,mix 8; bake 22\nHome 2,no,30,\n"
    page = lead.post(f"{study}/cross-tests/answers", version=FIRST, files=[("answers", ("a.csv", data, "text/csv"))])
    assert page.headline == "It worked 1 of 2 times in other kitchens." and "mix" in page.text


@pytest.mark.parametrize("data, says", [
    (b"{}", "isn&#39;t a tester"), (b"[" * 100_000, "isn&#39;t a tester"), (b'{"form": "proofpan cross-test", "format": 9}', "newer form"),
    (b'{"form": "proofpan cross-test", "format": 1, "answers": {"worked": "yes"}}', "Say who cooked it"),
    (form_of("A", **{"time-bake": "soon"}), "isn’t a step and its minutes|isn&#39;t a step and its minutes"),
    (form_of("A", photo="data:image/png;base64,AAAA"), "photograph can&#39;t be read"), (form_of("A", score="11"), "lies outside"),
])
def test_what_isnt_an_answer_is_refused_in_a_sentence(lead, study, data, says):
    page = lead.post(f"{study}/cross-tests/answers", version=FIRST, files=[("answers", ("a.json", data, "application/json"))])
    assert page.status == 422
    assert any(s in page.text for s in says.split("|")), page.wrong


def test_by_link_a_tester_without_an_account_reads_cooks_and_answers(kitchen, lead, study):
    page = lead.post(f"{study}/cross-tests/link", version=FIRST, who="Łukasz", control="fat=olive oil; rest=none; malt syrup=none; oven=170", **{"in": "US"})
    link = page.all(r'class="codeword"><a href="http://[^/]+(/x/[^"]+)"')[0]
    tester = kitchen.stranger()
    pack = tester.get(link)
    assert pack.status == 200 and "Łukasz" in pack.text and "°F" in pack.text and "all-purpose flour" in pack.text
    assert "Olive oil" in pack.text                                                            # the control
    assert pack.text.index("Contains") < pack.text.index("Take")                              # allergens and cautions lead
    refused = tester.client.post(link, data={"tester": "Łukasz", "unclear-mix": "yes", "note": "crumbly"})
    assert refused.status_code == 422 and "whether it worked" in refused.text and "crumbly" in refused.text
    kept = tester.client.post(link, data={"tester": "Łukasz", "worked": "yes", "oven_c": "350", "time-bake": "20", "score": "7", "control": "6"},
                              files={"photo": ("p.png", PIXEL, "image/png")})
    assert "Kept. Thank you." in kept.text
    page = lead.get(f"{study}/cross-tests?version={FIRST}")
    assert "177 °C" in page.text and "20 min" in page.text and "came back" in page.text      # 350 °F = 176.7 °C
    assert "One kitchen also made the control: 1.0 better there" in page.text
    held = read_study(kitchen.book, study.rsplit("/", 1)[1]).kitchen_marks
    assert [(m.kitchen, m.version["fat"], m.score) for m in held] == [("łukasz", "butter", 7.0), ("łukasz", "olive oil", 6.0)]


def test_a_wrong_link_opens_nothing_and_guessing_is_slowed(kitchen, lead, study):
    name = study.rsplit("/", 1)[1]
    stranger = kitchen.stranger()
    assert [stranger.get(f"/x/{name}/guess{i}").status for i in range(14)][-1] == 429
    assert stranger.get("/x/no-such-study/word").status == 429


def test_the_pack_on_paper_and_as_one_file(lead, study):
    assert lead.client.get(f"{study}/papers/tester-pack.pdf?version={FIRST}&in=US&paper=us-letter").content[:5] == b"%PDF-"
    answer = lead.client.get(f"{study}/cross-tests/form.html?version={FIRST}")
    assert "attachment" in answer.headers["content-disposition"]
    loaded = __import__("re").findall(r'(?:src|href)="(?!#|data:)[^"]+"', answer.text)
    assert loaded == []                                                                       # nothing is fetched from anywhere


def test_the_file_is_the_same_each_time_and_a_name_cant_break_out_of_it():
    study = __import__("proofpan").Study.load(CRACKERS)
    pack = tester_pack(study, FIRST, tester='"><script>alert(1)</script>')
    assert tester_form_html(pack) == tester_form_html(pack)
    assert "<script>alert" not in tester_form_html(pack)
