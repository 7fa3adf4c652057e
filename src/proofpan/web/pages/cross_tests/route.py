"""Cross-tests of a version: packs out, answers back, and what they say."""

from __future__ import annotations

import secrets
from urllib.parse import urlencode

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.entries import Event
from proofpan.steps.crosstest import look_at
from proofpan.steps.edition import reasons_against
from proofpan.steps.making import recipe_of
from proofpan.steps.tester_pack import AS_WRITTEN, check_row, main_step, row_of, tester_pack, with_done
from proofpan.study.crosstest import CrossTest, TesterPack
from proofpan.study.errors import StudyError
from proofpan.study.study import Study
from proofpan.study.versions import Version
from proofpan.study.words import capital, counted, version_words
from proofpan.web.cross_tests import CROSS_TEST, SENT, digest_of, keep_answers, packs_of, runs_of, tests_of
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.languages import in_language
from proofpan.web.pages.cross_tests.page import CrossTestsPage, RunLine, TroubledLine
from proofpan.web.pages.recipe.route import chosen
from proofpan.web.rendering import show

router = APIRouter()
MEASURES = (AS_WRITTEN, "metric", "US", "UK", "AU", "NZ")
MOST_FILES = 40


def show_tests(desk: Desk, study_id: str, form: Typed, new_link: tuple[str, str] | None = None) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study, root = standing.study, f"/study/{study_id}"
    if study.brief.base is None:
        return go(f"{root}/recipe")
    version = chosen(standing, form.get("version"))
    measures = form.get("in", AS_WRITTEN)
    control = study.version(form.get("control")) if form.get("control") else None
    control = None if control == version else control
    pack = tester_pack(study, version, measures=measures if measures in MEASURES else AS_WRITTEN, control=control)
    tests, runs = tests_of(standing, version), runs_of(standing, version)
    reasons = reasons_against(study, version, tests, {}, None)
    lines = [_run(study_id, e) for e in runs]
    query = urlencode({"version": str(version), "in": pack.measures, **({"control": pack.control_version} if pack.control else {})})
    back = {str(e.payload.get("pack", "")) for e in standing.of_kind(CROSS_TEST)}
    model = CrossTestsPage(
        headline=_headline(tests), under="Another cook, another kitchen, the text as written.", version=str(version),
        version_words=capital(version_words(version)), versions=tuple((str(v), version_words(v)) for v in study.versions()[:100]),
        says=tests.says if tests else (), times=_times(tests, pack), troubled=_troubled(tests, pack),
        runs=tuple(x for x in lines if not x.swap), swaps=tuple(x for x in lines if x.swap), measures=MEASURES, chosen_measures=pack.measures,
        papers=(("On paper, A4", f"{root}/papers/tester-pack.pdf?{query}&paper=a4"),
                ("On paper, US Letter", f"{root}/papers/tester-pack.pdf?{query}&paper=us-letter"),
                ("One file that saves its answers", f"{root}/cross-tests/form.html?{query}")),
        links=tuple((p.tester or "someone", version_words(study.version(p.version)), "came back" if p.key in back else "not back yet")
                    for p in packs_of(standing)),
        new_link=new_link, by_link="A link works while this computer serves the kitchen’s network; the file and the paper work anywhere. No account is needed."
        if desk.kitchen.open_to_phones else "A link works only on this machine now: start with --kitchen for the network, or send the file or the paper.",
        steps=tuple((x.name, x.text, x.timed) for x in pack.lines), controls=tuple((str(v), version_words(v)) for v in study.versions()[:100] if v != version),
        control=pack.control_version, control_words=_control_words(study, control),
        reasons=reasons, action=f"{root}/cross-tests", recipe_href=f"{root}/recipe?{urlencode({'version': str(version)})}", ready=not reasons,
    )
    return show("cross_tests", model, desk.frame("Cross-tests", standing, "recipe"))


def _control_words(study: Study, control: Version | None) -> str:
    """Which control a mark is of: the one chosen, else the recipe with nothing varied, where that may be made."""
    try:
        return version_words(control or study.version({}))
    except StudyError:
        return "choose it above first"


def _headline(tests: CrossTest | None) -> str:
    if tests is None or not tests.worked[1]:
        return "Nobody else has cooked it as written yet."
    good, runs = tests.worked
    return f"It worked {good} of {counted(runs, 'time')} in other kitchens."


def _times(tests: CrossTest | None, pack: TesterPack) -> tuple[tuple[str, str, str], ...]:
    if tests is None:
        return ()
    return tuple((name, f"{low:g} to {high:g} minutes" if low < high else f"{low:g} minutes", f"{look_at(low)} minutes")
                 for name, (low, high) in tests.times.items())


def _troubled(tests: CrossTest | None, pack: TesterPack) -> tuple[TroubledLine, ...]:
    if tests is None:
        return ()
    text = {x.name: x.text for x in pack.lines}
    out = []
    for name, count in tests.unclear_steps:
        words = tuple(f"{who}: “{said}”" for line, who, said in tests.words if line == name)
        out.append(TroubledLine(name, text.get(name, name), count, words, "Rewrite" if count > 1 else "Ask the tester"))
    return tuple(out)


def _run(study_id: str, event: Event) -> RunLine:
    row = {k: str(v) for k, v in event.payload["row"].items()}
    oven = ", ".join(s for s in (row.get("oven", ""), f"{row['oven_c']} °C" if row.get("oven_c") else "",
                                 f"thermometer {row['thermometer_c']} °C" if row.get("thermometer_c") else "") if s)
    done = f"{row['out_min']} min" if row.get("out_min") else ""
    return RunLine(
        row.get("tester", ""), "yes" if row.get("worked", "").casefold() in ("yes", "1", "true", "y") else "no", done, oven, row.get("swaps", ""),
        row.get("unclear", ""), row.get("note", ""), f"/study/{study_id}/cross-tests/photograph/{row['photo']}" if row.get("photo") else "", event.key)


def _asked(desk: Desk) -> Typed:
    return Typed(list(desk.request.query_params.multi_items()))


@router.get("/study/{study_id}/cross-tests")
def get_tests(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """What other kitchens report."""
    desk.again = lambda: show_tests(desk, study_id, Typed([]))
    return show_tests(desk, study_id, _asked(desk))


@router.get("/study/{study_id}/cross-tests/form.html")
def get_form(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """The pack as one file to send; it carries its own styles and script, so it is saved, not shown here."""
    from proofpan.publish.tester import tester_form_html

    form, standing = _asked(desk), desk.standing(study_id)
    with in_language(desk):
        pack = tester_pack(standing.study, chosen(standing, form.get("version")), measures=form.get("in", AS_WRITTEN), control=form.get("control") or None)
        made = tester_form_html(pack)
    headers = {"content-disposition": f'attachment; filename="{study_id}-test.html"'}
    return Response(made, media_type="text/html", headers=headers)


@router.get("/study/{study_id}/cross-tests/photograph/{digest}")
def get_photograph(study_id: str, digest: str, desk: Desk = Depends(lead)) -> Response:
    """A tester's photograph, if it belongs to this study."""
    standing = desk.standing(study_id)
    if not any(e.payload["row"].get("photo") == digest for e in standing.of_kind(CROSS_TEST)):
        raise StudyError("There is no such photograph here.")
    return Response(desk.book.read_file(digest), media_type=desk.book.file_entry(digest).media_type)


@router.post("/study/{study_id}/cross-tests/link")
def post_link(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A link for one tester; its secret word is shown once, the notebook keeps its digest."""
    again = Typed([("version", form.get("version")), ("in", form.get("in")), ("control", form.get("control"))])
    desk.again = lambda: show_tests(desk, study_id, again)
    standing = desk.standing(study_id)
    version, measures = standing.study.version(form.get("version")), form.get("in", AS_WRITTEN)
    control = form.get("control")
    tester_pack(standing.study, version, measures=measures, control=control or None)
    word = secrets.token_urlsafe(12)
    desk.book.append(study_id, SENT, {
        "tester": form.get("who")[:80], "version": str(version), "measures": measures, "control": control, "digest": digest_of(word),
    }, key=f"tester pack:{digest_of(word)[:24]}")
    address = desk.kitchen.address or str(desk.request.base_url).rstrip("/")
    return show_tests(desk, study_id, again, (form.get("who") or "the tester", f"{address}/x/{study_id}/{word}"))


@router.post("/study/{study_id}/cross-tests/report")
def post_report(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """One paper form, typed in."""
    desk.again = lambda: show_tests(desk, study_id, Typed([("version", form.get("version"))]))
    standing = desk.standing(study_id)
    version = standing.study.version(form.get("version"))
    row = with_done(row_of(dict(form.texts)), main_step(recipe_of(standing.study, version)))
    check_row(standing.study, version, row)
    beside = {"control": form.get("beside")} if form.get("beside") else {}
    desk.book.append(study_id, CROSS_TEST, {"version": str(version), "row": row, **beside},
                     key=f"cross-test:{form.get('once')}:{digest_of(repr(sorted(row.items())))[:12]}")
    return _back(study_id, version)


@router.post("/study/{study_id}/cross-tests/answers")
def post_answers(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Files that testers' forms saved, or a CSV; all of them or none."""
    desk.again = lambda: show_tests(desk, study_id, Typed([("version", form.get("version"))]))
    standing = desk.standing(study_id)
    version = standing.study.version(form.get("version"))
    files = form.files("answers")
    if not files:
        raise StudyError("Choose the file that the tester's form saved.", field="answers")
    keep_answers(desk.book, standing, version, [(f.filename or "", f.file.read()) for f in files[:MOST_FILES]], beside=form.get("beside"))
    return _back(study_id, version)


@router.post("/study/{study_id}/cross-tests/take-back")
def post_take_back(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A report typed in by mistake: it stays in the notebook and counts no more."""
    standing = desk.standing(study_id)
    version = standing.study.version(form.get("version"))
    if not any(e.key == form.get("key") for e in runs_of(standing, version)):
        raise StudyError("That report isn't here any more.")
    desk.book.append(study_id, "cross-test taken back", {"key": form.get("key")}, key=f"cross-test taken back:{form.get('key')}")
    return _back(study_id, version)


def _back(study_id: str, version: Version) -> Response:
    return go(f"/study/{study_id}/cross-tests?{urlencode({'version': str(version)})}")
