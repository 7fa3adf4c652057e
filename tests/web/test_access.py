"""Who gets in, and what every answer carries."""

import pytest

from proofpan.web.access import COOKIE, Allowance, link_word, new_session, session_of

from .conftest import SECRET, crackers

PATHS = [
    "/",
    "/study/x",
    "/study/x/brief",
    "/study/x/tasting",
    "/study/x/tasting/board",
    "/study/x/verdict",
    "/study/x/study.yaml",
    "/study/x/ballots.csv",
    "/study/x/plan",
    "/study/x/photograph/" + "a" * 64,
]


@pytest.mark.parametrize("path", PATHS)
def test_without_the_links_cookie_no_page_of_the_kitchen_opens(kitchen, path):
    page = kitchen.stranger().get(path)
    assert page.status == 403
    assert page.headline == "This page is the kitchen's."


def test_the_secret_link_sets_a_cookie_that_scripts_and_other_sites_cannot_use(kitchen):
    answer = kitchen.stranger().client.get(f"/in/{link_word(SECRET)}", follow_redirects=False)
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie
    assert answer.status_code == 303


def test_a_wrong_link_is_refused_and_guessing_is_slowed(kitchen):
    stranger = kitchen.stranger()
    tried = [stranger.get(f"/in/guess{i}").status for i in range(20)]
    assert tried[0] == 403 and tried[-1] == 429
    assert stranger.get(f"/in/{link_word(SECRET)}").status == 429  # even the right one waits


def test_a_cookie_of_another_secret_is_nobodys():
    assert session_of("one", new_session("another")) is None
    assert session_of("one", "x.y") is None and session_of("one", None) is None and session_of("one", "") is None


def test_a_forged_cookie_is_refused(kitchen):
    stranger = kitchen.stranger()
    stranger.client.cookies.set(COOKIE, new_session("not " + SECRET))
    assert stranger.get("/").status == 403


def test_a_form_without_its_token_changes_nothing(kitchen, lead):
    lead.csrf = "0" * 40
    page = lead.post("/quick", option=["a", "b"], who="1", turns="2")
    assert page.status == 403 and "another start" in page.headline
    assert kitchen.book.studies() == ()


@pytest.mark.parametrize("path", ["/", "/t", "/static/base.css", "/nowhere", "/pages/ballot.js"])
def test_every_answer_carries_a_policy_without_inline_scripts(kitchen, lead, path):
    headers = lead.client.get(path).headers
    assert "unsafe" not in headers["content-security-policy"] and "default-src 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"


def test_no_page_holds_an_inline_script_style_or_handler(lead):
    study = crackers(lead)
    for path in ("/", f"{study}/brief", f"{study}/rounds", f"{study}/verdict", "/t"):
        text = lead.get(path).text
        assert "<script>" not in text and "<style" not in text and " style=" not in text and " onclick" not in text


def test_no_page_points_at_another_host(lead):
    study = crackers(lead)
    for path in ("/", f"{study}/brief", f"{study}/cook", f"{study}/day", "/t"):
        text = lead.get(path).text.replace("http://www.w3.org/2000/svg", "").replace("http://testserver", "")
        assert "http://" not in text and "https://" not in text and 'src="//' not in text


def test_a_form_larger_than_two_megabytes_is_refused_before_it_is_read(lead):
    assert lead.client.post("/new", data={"csrf": lead.csrf, "recipe": "x" * 2_100_000}).status_code == 413


def test_a_body_that_hides_its_length_is_counted_as_it_comes(lead):
    def pieces():
        for _ in range(30):
            yield b"x" * 100_000

    answer = lead.client.post("/new", content=pieces(), headers={"content-type": "application/x-www-form-urlencoded"})
    assert answer.status_code == 413


@pytest.mark.parametrize("path", ["/static/../app.py", "/static/%2e%2e/app.py", "/pages/..%2fapp.css", "/pages/base.css", "/static/fonts"])
def test_nothing_outside_the_static_folders_is_served(kitchen, path):
    assert kitchen.stranger().client.get(path).status_code in (403, 404, 405)


def test_an_allowance_is_used_up_and_comes_back_after_a_minute():
    now = [0.0]
    allowance = Allowance(2, 100, lambda: now[0])
    allowance.count("a")
    assert not allowance.spent("a")
    allowance.count("a")
    assert allowance.spent("a") and not allowance.spent("b")
    now[0] = 61.0
    assert not allowance.spent("a")


def test_all_names_together_have_an_allowance_too():
    allowance = Allowance(100, 3, lambda: 0.0)
    for name in "abc":
        allowance.count(name)
    assert allowance.spent("d")


def test_guessing_tasters_words_is_slowed_and_does_not_shut_the_lead_out(kitchen):
    stranger = kitchen.stranger()
    assert stranger.post("/t", words="one two three").status == 404
    for i in range(15):
        stranger.get(f"/t/guess-{i}-word")
    assert kitchen.app.state.kitchen.guesses.spent("testclient")
    assert kitchen.lead().get("/").status == 200
