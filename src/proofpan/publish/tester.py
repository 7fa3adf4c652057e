"""The tester's pack on paper and as one HTML file that saves its answers as a file; it works from a disk, without a network."""

from __future__ import annotations

import json
from html import escape
from importlib.resources import files
from typing import Any

from proofpan.publish.card import card_data, card_sections
from proofpan.publish.page import whole_page
from proofpan.publish.typesetting import pdf
from proofpan.study.crosstest import AskedLine, TesterPack
from proofpan.study.wording import say, speaking

OVENS = ("fan", "top and bottom heat", "gas", "other")


def tester_form_html(pack: TesterPack, *, language: str | None = None) -> str:
    """The pack as one file: recipe, form, and a button that saves the answers."""
    with speaking(language):
        recipe = pack.recipe
        card = card_data(recipe, "a4", None, None, draft=False)
        lead, sections = card_sections({**card, "contains": contains(pack)})
        body = f"<h1>{escape(say('Test: {dish}', dish=recipe.title))}</h1>{''.join(lead)}<p>{escape(_request())}</p>{sections}"
        body += _control(pack)
        body += _form(pack)
        if recipe.invented:
            body += f"<footer>{escape(say('Recipe, kitchen and numbers are invented.'))}</footer>"
        held = json.dumps({"form": "proofpan cross-test", "format": 1, "recipe": recipe.title, "version": pack.version, "measures": pack.measures,
                           "digest": pack.digest, **({"control": pack.control_version} if pack.control_version else {})}, ensure_ascii=False, sort_keys=True)
        body += f'<script type="application/json" id="pack">{held.replace("<", chr(92) + "u003c")}</script>'
        here = files("proofpan.publish") / "templates"
        kitchen = "Larkspur Lane" if recipe.invented else "proofpan"
        return whole_page(say("Test: {dish}", dish=recipe.title), kitchen, body,
                          style=(here / "tester.css").read_text(encoding="utf-8"), script=(here / "tester.js").read_text(encoding="utf-8"))


tester_form_html.__test__ = False  # type: ignore[attr-defined]  # its name begins like a test's


def _cut(text: str, longest: int = 46) -> str:
    return text if len(text) <= longest else text[:longest].rsplit(" ", 1)[0] + "…"


def contains(pack: TesterPack) -> str:
    """What the text contains, and what the control brings besides: both are cooked and eaten there."""
    own = ", ".join(say(a) for a in pack.recipe.allergens)
    if not pack.control_contains:
        return own
    more = say("the control also {what}", what=", ".join(say(a) for a in pack.control_contains))
    return f"{own}; {more}" if own else more


def control_lines(pack: TesterPack) -> list[str]:
    """How the control is made, a line each."""
    return [_changed(kind, ours, theirs) for kind, ours, theirs in pack.control_changes]


def _changed(kind: str, ours: str, theirs: str) -> str:
    if kind == "new step":
        return say("After step {number}, also: {line}", number=ours, line=theirs) if ours != "0" else say("First of all: {line}", line=theirs)
    if not ours:
        return say("Also: {line}", line=theirs)
    if kind == "step":
        return say("Step {number} instead: {line}", number=ours, line=theirs) if theirs else say("Leave out step {number}.", number=ours)
    return say("{other} instead of {line}", other=theirs, line=ours) if theirs else say("Leave out: {line}", line=ours)


def control_request() -> str:
    """What is asked of a kitchen that makes the control too."""
    return say("Make this too, the same day and in the same oven: the same recipe but for the lines below. It shows what is your kitchen's doing and "
               "what is the recipe's.")


def _control(pack: TesterPack) -> str:
    if not pack.control:
        return ""
    lines = "".join(f"<li>{escape(line)}</li>" for line in control_lines(pack))
    return (f'<section><h2>{escape(say("And the control"))}</h2><div><p><b>{escape(pack.control)}.</b> {escape(control_request())}</p>'
            f"<ul>{lines}</ul></div></section>")


def _request() -> str:
    return say("Make it once exactly as it stands here, in your own kitchen, and note what happened as you go. If something is missing or "
               "unclear, don't guess quietly: tick that line. A failure tells us more than a success.")


def _form(pack: TesterPack) -> str:
    parts = [
        (say("You and your kitchen"), _fields([
            _input("tester", say("Your name or initials"), value=pack.tester, required=True), _input("made", say("When you made it"), kind="date"),
            _choice("oven", say("Your oven"), [(o, say(o)) for o in OVENS]),
            _input("oven_c", say("Set to") + f" ({'°C' if pack.celsius else '°F'})", mode="decimal"),
            _input("thermometer_c", say("Its thermometer showed, if you have one") + f" ({'°C' if pack.celsius else '°F'})", mode="decimal"),
            _input("tin", say("Tin or tray you used, with its size")),
        ])),
        (say("Times"), f"<p>{escape(say('Real minutes, from your clock.'))}</p>" + _fields(
            [_input(f"time-{x.name}", _cut(f"{i}. {x.text}"), mode="decimal", more=say("minutes")) for i, x in enumerate(pack.steps, 1) if x.timed])),
        (say("What you changed"), _area("swaps", say("Any swap of ingredient, tin or method? Leave empty if none. A swap is welcome, and counted apart."))),
        (say("Words that made you stop"), "".join(_unclear(x) for x in pack.lines)),
        (say("How it went"), _choice("worked", say("Did it work?"), [("yes", say("yes")), ("no", say("no"))], required=True)
         + _fields([_input("makes", say("How many or how much it made")),
                    _input("score", say("How good was it, 0 to 10?"), mode="decimal"),
                    *([_input("control", say("And the control ({what}), 0 to 10?", what=pack.control), mode="decimal")] if pack.control else [])])
         + _choice("again", say("Would you make it again?"), [("yes", say("yes")), ("no", say("no"))])
         + _area("note", say("Anything else, in your words"))
         + f'<p><label for="photo">{escape(say("A photograph, if you like"))}</label>'
           '<input id="photo" name="photo" type="file" accept="image/*"></p>'),
    ]
    sections = "".join(f'<section><h2>{escape(name)}</h2><div>{inner}</div></section>' for name, inner in parts if inner)
    words = {"kept": say("Kept in this browser."), "saved": say("Saved. Send the file {name} to whoever asked you.", name="NAME"),
             "missing": say("Two things are still wanted: who cooked it, and whether it worked.")}
    data = " ".join(f'data-{k}="{escape(v, quote=True)}"' for k, v in words.items())
    return (f'<h2 class="part">{escape(say("Your answers"))}</h2>'
            f'<noscript><p class="careful">{escape(say("This browser runs no script: print the page and fill it in by hand."))}</p></noscript>'
            f'<form id="answers" {data}>{sections}<p class="save"><button>{escape(say("Save my answers as a file"))}</button> '
            f'<span id="state" role="status"></span></p>'
            f'<details><summary>{escape(say("If nothing is saved: copy this text into a message"))}</summary>'
            f'<p><label for="plain">{escape(say("Your answers as text"))}</label><textarea id="plain" rows="6" readonly></textarea></p></details></form>')


def _fields(inputs: list[str]) -> str:
    return f'<div class="fields">{"".join(inputs)}</div>' if inputs else ""


def _input(name: str, label: str, *, kind: str = "text", value: str = "", mode: str = "", required: bool = False, more: str = "") -> str:
    extra = f' inputmode="{mode}"' if mode else ""
    extra += " required" if required else ""
    small = f" <small>{escape(more)}</small>" if more else ""
    return (f'<p><label for="{escape(name)}">{escape(label)}{small}</label><input id="{escape(name)}" name="{escape(name)}" type="{kind}" '
            f'value="{escape(value, quote=True)}" autocomplete="off"{extra}></p>')


def _area(name: str, label: str) -> str:
    return f'<p><label for="{name}">{escape(label)}</label><textarea id="{name}" name="{name}" rows="2"></textarea></p>'


def _choice(name: str, legend: str, options: list[tuple[str, str]], *, required: bool = False) -> str:
    need = " required" if required else ""
    radios = "".join(f'<label><input type="radio" name="{name}" value="{escape(v)}"{need}> {escape(words)}</label>' for v, words in options)
    return f'<fieldset class="choose"><legend>{escape(legend)}</legend>{radios}</fieldset>'


def _unclear(line: AskedLine) -> str:
    name = escape(line.name, quote=True)
    return (f'<div class="stop"><label><input type="checkbox" name="unclear-{name}" value="yes"> {escape(line.text)}</label>'
            f'<input name="words-{name}" aria-label="{escape(say("What stopped you there: {line}", line=line.text), quote=True)}" '
            f'placeholder="{escape(say("what stopped you?"), quote=True)}" autocomplete="off"></div>')


def tester_pack_pdf(pack: TesterPack, *, paper: str = "a4", language: str | None = None) -> bytes:
    """The pack on paper: cautions and allergens lead, a box to tick beside each line, a blank beside each time, then the form.

    Parameters: paper, "a4" or "us-letter".
    """
    with speaking(language):
        card = card_data(pack.recipe, paper, None, None, draft=False)
        unit = "°C" if pack.celsius else "°F"
        steps = {x.name: x for x in pack.steps}
        data: dict[str, Any] = {
            **card, "contains": contains(pack), "control": f"{pack.control}. {control_request()}" if pack.control else "",
            "control_lines": control_lines(pack), "title": say("Test: {dish}", dish=pack.recipe.title), "request": _request(), "main": pack.main_step or "",
            "steps": [{"text": x.text, "timed": x.timed} for x in steps.values()],
            "blanks": [[say("Your name or initials"), say("When you made it")], [say("Your oven") + ": " + " / ".join(say(o) for o in OVENS)],
                       [say("Set to") + f" ({unit})", say("Its thermometer showed, if you have one") + f" ({unit})"],
                       [say("Tin or tray you used, with its size"), say("How many or how much it made")],
                       [say("How good was it, 0 to 10?"), ""], *([[say("And the control ({what}), 0 to 10?", what=pack.control)]] if pack.control else [])],
            "asks": [[say("Did it work?"), [say("yes"), say("no")]], [say("Would you make it again?"), [say("yes"), say("no")]]],
            "areas": [say("Any swap of ingredient, tin or method? Leave empty if none. A swap is welcome, and counted apart."),
                      say("What stopped you at the lines you ticked"), say("Anything else, in your words")],
            "words": {"contains": say("Contains"), "careful": say("Careful."), "take": say("Take"), "make": say("Make"), "minutes": say("minutes"),
                      "answers": say("Your answers"), "tick": say("Tick a line that made you stop."),
                      "photo": say("A photograph, if you like: send it with this sheet."), "notes": say("Notes"), "done": say("done after"),
                      "control": say("And the control")},
            "foot": say("{dish}, test sheet {digest}", dish=pack.recipe.title, digest=pack.digest),
        }
        return pdf("tester", data)


tester_pack_pdf.__test__ = False  # type: ignore[attr-defined]  # its name begins like a test's
