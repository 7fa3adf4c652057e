"""The kitchen's papers: test sheets, paper ballots, labels, the sealed reveal, run sheets."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import partial

from proofpan.publish.typesetting import pdf
from proofpan.study.day import DayLists, ListLine, is_baked, oven_of_tray, oven_words
from proofpan.study.degrees import degree_of, in_its_degrees
from proofpan.study.errors import StudyError
from proofpan.study.house_words import our_words
from proofpan.study.reader_recipe import ReaderRecipe, RecipeLine
from proofpan.study.rounds import PlannedTrial, Round
from proofpan.study.sittings import Sitting
from proofpan.study.study import Study
from proofpan.study.wording import say
from proofpan.study.words import capital, version_words

LABEL_SHEETS = {
    "a4": {"columns": 3, "rows": 8, "width": 63.5, "height": 33.9, "margin_x": 7.0, "margin_y": 12.9, "gap": 2.5, "row_gap": 0.0},
    "us-letter": {"columns": 3, "rows": 10, "width": 66.7, "height": 25.4, "margin_x": 4.8, "margin_y": 12.7, "gap": 3.2, "row_gap": 0.0},
}
# what a sheet also gives in grams: nothing that is counted, nothing that says its grams already
SPOONED = re.compile(r"[\d½⅓⅔¼¾⅛./ +–-]+ ?(?:cups?|tbsp|tsp|oz|lb)(?: \+ [\d½⅓⅔¼¾⅛./ ]+(?:tbsp|tsp|oz))?")
PAPER_MM = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}      # ISO 216; ANSI/ASME Y14.1


def test_sheets_pdf(study: Study, round_: Round, *, worked: Mapping[int, ReaderRecipe] | None = None, together: Mapping[int, str] | None = None,
                    paper: str = "a4") -> bytes:
    """One sheet a trial: what to weigh in test-batch amounts beside what was weighed, times, failure, photograph, note.

    Parameters: worked, {trial: worked recipe in test-batch amounts}; without one the sheet keeps its lines empty; together, {trial: what of it is made once
        with others}.
    """
    trials = []
    for t in round_.trials:
        recipe = (worked or {}).get(t.trial)
        placed = ((say("load {number}", number=t.load), t.load), (say("tray {number}", number=t.tray), t.tray),
                  (say("place {number}", number=t.place), t.place))
        where = ", ".join(words for words, at in placed if at) if is_baked(study) else ""
        trials.append({
            "number": str(t.trial), "where": where, "version": capital(version_words(t.version)), "why": t.why, "together": (together or {}).get(t.trial, ""),
            "cautions": [in_its_degrees(c, study.brief.kitchen) for c in recipe.cautions] if recipe is not None else [],
            "lines": [[line.item, _amount(line)] for line in recipe.lines] if recipe is not None else [["", ""]] * 8,
            "method": [s.text for s in recipe.method] if recipe is not None else [],
        })
    batch = (study.brief.base.trial_makes or study.brief.base.makes if study.brief.base is not None else None) or say("one trial")
    return pdf("test_sheets", {"title": study.title, "paper": paper, "round": str(round_.number), "batch": batch, "trials": trials,
                               "degree": degree_of(study.brief.kitchen), "foot": say("{title}, round {number}", title=study.title, number=round_.number)},
               said=partial(our_words, study=study))


test_sheets_pdf.__test__ = False  # type: ignore[attr-defined]  # its name begins like a test's


def _amount(line: RecipeLine) -> str:
    """What the line says; a weight to the gram, as the prep list and the cook's page have it: a recipe's 330 g are a third of a kilogram."""
    if line.grams is not None and re.match(r"[\d.,]+ g\b", line.text):
        grams = sum(line.grams) / 2
        return f"{grams:.0f} g" if grams >= 20 else f"{round(grams, 1):g} g"
    text, at = line.text, line.text.casefold().find(line.item.casefold())
    text = text[:at].strip() if at > 0 else text
    if line.grams is not None and SPOONED.fullmatch(text):
        return f"{sum(line.grams) / 2:.{0 if sum(line.grams) >= 40 else 1}f} g ({text})"
    return text


def paper_ballots_pdf(study: Study, round_: Round, *, contains: str = "", paper: str = "a4") -> bytes:
    """A ballot a taster, a block a plate: the code and nothing of the version.

    Parameters: contains, one line for all plates together (allergens, alcohol, raw egg or flour).
    """
    tasters = [{"name": name, "plates": codes} for name, codes in round_.orders.items() if codes]
    attributes = [[a.name, *(list(a.anchors[:2]) if len(a.anchors) > 1 else [say("least"), say("most")])] for a in study.attributes if not a.measured]
    dish = study.brief.base.title if study.brief.base is not None else say("Tasting")
    return pdf("ballots", {"title": say("Ballots"), "paper": paper, "dish": dish, "tasters": tasters, "attributes": attributes,
                           "contains": f"{contains} " if contains else "", "foot": say("tasting {number}", number=round_.number)})


def sitting_ballots_pdf(sitting: Sitting, *, dish: str, asks: str, how: str, contains: str = "", paper: str = "a4") -> bytes:
    """Another ballot on paper, a block a plate or a set of plates: codes and what is asked, nothing of the version.

    Parameters: dish, a name that tells nothing; asks and how, what a set asks and how it is tasted; contains, one line for all plates.
    """
    lines = [{"says": a.says, "left": a.left, "right": a.right, "steps": [w for _, w in a.values]} for a in sitting.asks]
    tasters = [
        {"name": name, "sets": [{"codes": [p.code for p in s.plates], "shown": s.shown} for s in sitting.of(name)]} for name in sitting.tasters
    ]
    answers = {"ranking": say("In order, the best first"), "two out of five": say("These two")}.get(sitting.kind, say("This one"))
    return pdf("sitting_ballots", {"title": say("Ballots"), "paper": paper, "dish": dish, "tasters": tasters, "lines": lines, "asks": say(asks),
                                   "how": say(how),
                                   "answers": answers, "contains": f"{contains} " if contains else "", "foot": say("tasting {number}", number=sitting.round)})


def blank_sheets_pdf(study: Study, *, count: int = 4, first: int = 1, paper: str = "a4") -> bytes:
    """Numbered test sheets with nothing filled in, for what is cooked before it is planned.

    Parameters: count, how many; first, the number of the first one.
    """
    trials = [{"number": str(first + i), "where": "", "version": " ", "why": "", "together": "", "cautions": [], "lines": [["", ""]] * 14,
               "method": []} for i in range(count)]
    return pdf("test_sheets", {"title": study.title, "paper": paper, "round": "", "batch": "", "trials": trials, "blank": True,
                               "degree": degree_of(study.brief.kitchen), "foot": study.title}, said=partial(our_words, study=study))


def labels_pdf(
    round_: Round, *, columns: int | None = None, rows: int | None = None, width_mm: float | None = None, height_mm: float | None = None,
    margin_x_mm: float | None = None, margin_y_mm: float | None = None, gap_mm: float | None = None, row_gap_mm: float | None = None, qr: bool = True,
    paper: str = "a4",
) -> bytes:
    """Labels for the plates: code, taster and a QR of the code.

    Parameters: the measures of the sheet of labels; what isn't given is the usual sheet's (A4: 3 × 8 of 63.5 × 33.9 mm; Letter: 3 × 10
        of 66.7 × 25.4 mm; common practice, no source), but another sheet whose margins aren't given stands in the middle of the paper.

    Raises: StudyError for a sheet that is larger than the paper.
    """
    usual = LABEL_SHEETS.get(paper, LABEL_SHEETS["a4"])
    given = {"columns": columns, "rows": rows, "width": width_mm, "height": height_mm, "margin_x": margin_x_mm, "margin_y": margin_y_mm, "gap": gap_mm,
             "row_gap": row_gap_mm}
    sizes = {name: usual[name] if value is None else value for name, value in given.items()}
    _on_the_paper(sizes, given, paper)
    names = shorter_names(list(dict.fromkeys(p.taster for p in round_.plates)))
    pictures, labels = {}, []
    for plate in round_.plates:
        name = f"qr-{plate.code}.svg"
        if qr:
            pictures[name] = _qr(plate.code)
        labels.append({"code": plate.code, "names": names[plate.taster], "qr": name if qr else ""})
    return pdf("labels", {"title": say("Labels"), "paper": paper, **sizes, "labels": labels}, pictures)


def _on_the_paper(sizes: dict[str, float], given: Mapping[str, float | None], paper: str) -> None:
    """Margins of another sheet than the usual one are what the labels leave, the same on both sides, unless they are given.

    Raises: StudyError where the labels would run off the paper, naming the side and by how much.
    """
    wide, deep = PAPER_MM.get(paper, PAPER_MM["a4"])
    sides = (("wide", "columns", "width", "margin_x", "gap", wide), ("high", "rows", "height", "margin_y", "row_gap", deep))
    for word, count, size, margin, gap, there in sides:
        labels = sizes[count] * sizes[size] + (sizes[count] - 1) * sizes[gap]
        if given[margin] is None and (given[count] is not None or given[size] is not None):
            sizes[margin] = max(0.0, (there - labels) / 2)
        needed = sizes[margin] + labels
        if needed > there + 0.5:
            raise StudyError(f"{sizes[count]:g} {count} of {sizes[size]:g} mm with their margin and gaps are {needed:.1f} mm {word}, "
                             f"the paper is {there:g} mm.", field=f"{size}_mm")


def shorter_names(tasters: Sequence[str]) -> dict[str, list[str]]:
    """{taster: the name and shorter forms of it for a small label}; a form that two tasters share is none."""

    def forms(name: str) -> list[str]:
        parts = name.split() or ["?"]
        return [name, " ".join([parts[0], *(p[0] + "." for p in parts[1:])]), " ".join(p[0] + "." for p in parts)]

    every = [form for t in tasters for form in dict.fromkeys(forms(t))]
    return {t: [f for f in dict.fromkeys(forms(t)) if every.count(f) == 1] or [t] for t in tasters}


def _qr(words: str) -> str:
    import io

    import segno

    out = io.BytesIO()
    segno.make(words, micro=False).save(out, kind="svg", border=1, xmldecl=False, svgns=True)
    return out.getvalue().decode()


def reveal_sheet_pdf(study: Study, round_: Round, *, paper: str = "a4") -> bytes:
    """Which code is which, on a sheet that folds in three and is stuck down: the list lies inside, behind a printed ground."""
    rows = []
    for t in round_.trials:
        codes = "  ".join(p.code for p in round_.plates if p.trial == t.trial)
        rows.append([str(t.trial), version_words(t.version), codes])
    return pdf("reveal", {"title": say("Sealed"), "paper": paper, "study": study.title, "round": str(round_.number), "rows": rows, "foot": say("SEALED")})


def shopping_list_pdf(study: Study, lists: DayLists | Sequence[ListLine], *, paper: str = "a4") -> bytes:
    """What to buy, by section, with a box each."""
    if not isinstance(lists, DayLists):
        return _list(study, lists, say("Shopping"), paper)
    over = [line.model_copy(update={"section": say("What will be left over")}) for line in lists.left_over]
    return _list(study, [*lists.shopping, *over], say("Shopping"), paper, [lists.cost] if lists.cost else [])


def prep_list_pdf(study: Study, lists: DayLists | Sequence[ListLine], *, paper: str = "a4") -> bytes:
    """What to weigh and prepare, by task; what is left over stands on the shopping list, with what it cost."""
    return _list(study, lists.prep if isinstance(lists, DayLists) else lists, say("Prep"), paper)


def _list(study: Study, lines: Sequence[ListLine], name: str, paper: str, says: Sequence[str] = ()) -> bytes:
    sections: dict[str, list[list[str]]] = {}
    for line in lines:
        sections.setdefault(our_words(say(line.section or "All"), study), []).append([line.what, line.amount, line.note, line.cost])
    return pdf("list", {"title": f"{name}: {study.title}", "paper": paper, "foot": study.title, "says": list(says),
                        "sections": [{"name": capital(n), "lines": ls} for n, ls in sections.items()]})


def tray_map_pdf(study: Study, round_: Round, *, paper: str = "a4") -> bytes:
    """Where each trial stands in the oven and which codes its plates bear; no version is named, but who tastes would see which plates are alike."""
    loads: dict[int, dict[int, list[PlannedTrial]]] = {}
    baked = is_baked(study) and any(t.tray for t in round_.trials)
    for t in round_.trials:
        loads.setdefault((t.load or 0) if baked else 0, {}).setdefault((t.tray or 0) if baked else 0, []).append(t)
    ovens = study.brief.kitchen.ovens

    def tray_words(tray: int) -> str:
        oven = oven_of_tray(ovens, tray)
        return say("{oven}, tray {number}", oven=capital(oven_words(oven)), number=tray) if oven else say("tray {number}", number=tray)

    data = [{"name": say("Load {number}", number=load) if load and baked else "", "trays": [
        {"name": tray_words(tray) if tray else "", "places": [
            {"trial": str(t.trial), "place": str(t.place or "") if baked or not t.tray else "", "codes": [p.code for p in round_.plates if p.trial == t.trial]}
            for t in sorted(found, key=lambda t: (t.place or 0, t.trial))]}
        for tray, found in sorted(trays.items())]} for load, trays in sorted(loads.items())]
    title = say("Trays of round {number}", number=round_.number) if baked else say("Trials of round {number}, in order", number=round_.number)
    under = say("Seen from the oven's door. ") if baked else ""
    under += say("Under each trial the codes that its plates bear. For who cuts and plates: it shows which plates are alike.")
    return pdf("tray_map", {"title": title, "under": under, "paper": paper, "loads": data,
                            "foot": say("{title}, round {number}", title=study.title, number=round_.number)})


def contact_sheet_pdf(
    study: Study, picture: bytes, *, labelled: bool, px_per_mm: float | None = None, warnings: Sequence[str] = (), paper: str = "a4"
) -> bytes:
    """All photographed versions on one page, from the sheet's PNG; a sheet for blind eyes bears nothing but the pictures."""
    title = say("{title}: all in one picture", title=study.title) if labelled else say("All in one picture")
    scale = "" if px_per_mm is None else f"{10 * px_per_mm:.4f}"
    data = {"title": title, "paper": paper, "ten_mm": scale, "warnings": list(warnings), "foot": study.title if labelled else ""}
    return pdf("contact_sheet", data, {"sheet.svg": photograph_in_svg(picture)})


def photograph_in_svg(png: bytes) -> str:
    """A PNG within an SVG, which is what the setter takes."""
    from base64 import b64encode

    wide, deep = (int.from_bytes(png[at : at + 4], "big") for at in (16, 20))  # PNG specification, IHDR
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {deep}" width="{wide}" height="{deep}">'
            f'<image width="{wide}" height="{deep}" href="data:image/png;base64,{b64encode(png).decode()}"/></svg>')
