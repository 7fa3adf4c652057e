"""10,000 random strings through each reader of text: none may end in anything but an answer or a sentence.

    python bench/random_strings.py [N]

Strings are drawn from a cook's letters, digits, fractions, brackets, units and the odd letter of another script.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from typing import Any

import proofpan as pp
from proofpan.science.foods import FoodError, look_up
from proofpan.science.measures import QuantityError as Unreadable
from proofpan.science.measures.amounts import parse_amount
from proofpan.steps.costing import prices_of
from proofpan.steps.recipe_scaling import scaled_line, scaled_step
from proofpan.steps.recipe_styling import styled_line
from proofpan.steps.recipe_tins import read_tin
from proofpan.steps.recipe_using import asked_for
from proofpan.study.errors import ProofpanError
from proofpan.study.house import house_style, read_style
from proofpan.study.lines import scale_line
from proofpan.study.recipe import Recipe, read_oven

WORDS = ("1", "2", "10", "250", "½", "1/2", "0", "-", "–", "to", "or", "x", "×", "(", ")", ",", ";", ":", "/", "+", "plus", "less", "of", "a", "an", "g", "kg",
         "ml", "cup", "cups", "tsp", "tbsp", "oz", "fl oz", "pint", "C", "F", "°", "gas mark", "fan", "salt", "flour", "water", "per", "butter", "egg", "eggs",
         "tin", "cm", "round", "square", "about", "heaped", "pinch", "each", "dozen", "%", "~", "#", "\\", "\u202f", "\u0000", "é", "米", "🥕", "\n", "\t", "'",
         "1,000", "0,5", "1.5", "..", "99999999999999999999", "1e9", "nan", "inf", "for frying", "to taste", "chopped", "{", "}", "[", "]")


def strings(count: int, seed: int) -> list[str]:
    """So many strings: half of them words of a kitchen strung together, half of them any characters."""
    draw = random.Random(seed)
    out = []
    for i in range(count):
        if i % 2:
            out.append("".join(draw.choice((" ", "", " ")) + draw.choice(WORDS) for _ in range(draw.randint(0, 12))).strip(" "))
        else:
            out.append("".join(chr(draw.choice((draw.randint(32, 126), draw.randint(0, 0x2FFF)))) for _ in range(draw.randint(0, 24))))
    return out


def readers() -> dict[str, Callable[[str], Any]]:
    """Each reader of text by its name."""
    recipe = pp.recipe(made := pp.Study.from_dict({
        "title": "t", "question": "q", "tasters": ["A"], "attributes": [{"name": "liking"}],
        "factors": [{"name": "f", "options": [{"name": "a"}, {"name": "b"}]}],
        "base": {"title": "x", "makes": "12 biscuits", "ingredients": ["250 g plain flour", "2 eggs"]}}), made.versions()[0])
    us = house_style("US")

    def audit(text: str) -> Any:
        return pp.audit(Recipe.model_validate({"title": text or "x", "makes": text or None, "shown": [text or "x"], "ingredients": ["250 g plain flour"],
                                               "method": [{"id": "a", "do": text or "x"}]}))

    return {
        "ingredient line": lambda t: [pp.parse_line(t, country=c) for c in ("AU", "US", None)],
        "amount": parse_amount,
        "conversion": lambda t: pp.convert(t, to="g/L"),
        "source": lambda t: pp.check_claim({"words": t, "source": "s", "ours": "5 g salt per L water"}),
        "oven": read_oven,
        "tin": read_tin,
        "price": lambda t: prices_of((t,)),
        "pantry": look_up,
        "size asked for": lambda t: recipe.scaled(**asked) if (asked := asked_for(recipe, t)) else None,
        "scaled line": lambda t: [scale_line(t, 1.7), scaled_line(t, 1.7, "AU"), scaled_step(t, 1.7, "12 biscuits", "AU")],
        "styled line": lambda t: [styled_line(t, us), us.done(t)],
        "house style": lambda t: read_style(t.encode("utf-8", "surrogatepass"), "ours.json"),
        "audit": audit,
    }


def main() -> int:
    """Prints a line a reader; 1 where something else than a sentence came out."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    from pydantic import ValidationError
    from pydantic_core import PydanticCustomError

    bad = 0
    for k, (name, read) in enumerate(readers().items()):
        start, refused, faults = time.perf_counter(), 0, []
        for text in strings(count, seed=k):
            try:
                read(text)
            except (ProofpanError, Unreadable, FoodError, PydanticCustomError, ValidationError):
                refused += 1
            except Exception as error:
                faults.append((text, f"{type(error).__name__}: {error}"))
        took = time.perf_counter() - start
        print(f"{name:16} {count:,} strings, {refused:,} refused in a sentence, {len(faults)} faults, {1e3 * took / count:.2f} ms each")
        for text, says in faults[:5]:
            print("   ", ascii(text), says[:200])
        bad += len(faults)
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
