"""Parses the scanned head of an ingredient line by lines.lark into amounts, units, sizes and second measures."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from importlib.resources import files
from typing import Any

from lark import Lark, Token, Transformer, v_args
from lark.exceptions import UnexpectedInput
from lark.lexer import Lexer

from proofpan.science.measures.scanning import Scan, Scanned
from proofpan.science.measures.words import VOLUMES, WEIGHTS


@dataclass(frozen=True, slots=True)
class Measure:
    """An amount with its unit: low to high, and words such as level or heaped."""

    low: float
    high: float
    unit: str
    mods: tuple[str, ...] = ()
    sign: int = 1


@dataclass(frozen=True, slots=True)
class Head:
    """What stands before the ingredient's name.

    `alike` holds the first measure and those said to be the same amount; each is a sum of terms. `seconds` are the ones in
    brackets. `each` is the content of one of `unit`. `spans` says that two units stand for the ends of one range.
    """

    low: float
    high: float
    unit: str
    alike: tuple[tuple[Measure, ...], ...] = ()
    seconds: tuple["Second", ...] = ()
    each: tuple[Measure, ...] | None = None
    size: str | None = None
    mods: tuple[str, ...] = ()
    about: bool = False
    spans: bool = False
    implied_one: bool = False
    implied_each: bool = False


@dataclass(frozen=True, slots=True)
class Second:
    """One measure in brackets: its terms (or a count), and whether it is of each."""

    terms: tuple[Measure, ...] = ()
    each: bool = False
    about: bool = False


# one unit in another of its own kind, where a range runs from the smaller to the larger ("750 g–1 kg")
_TIMES = {("kg", "g"): 1000.0, ("l", "ml"): 1000.0, ("lb", "oz"): 16.0, ("dl", "ml"): 100.0, ("cl", "ml"): 10.0, ("l", "dl"): 10.0}


@dataclass
class _Alike:
    sums: list[tuple[Measure, ...]] = field(default_factory=list)
    spans: bool = False


class _Given(Lexer):  # lark hands a custom lexer the data itself when it asks for one argument
    """Hands our scanned tokens to lark."""

    def __init__(self, conf: object) -> None:
        pass

    def lex(self, data: Any) -> Iterator[Token]:  # type: ignore[override]
        """Each scanned token as lark wants it, its value untouched."""
        for kind, value, start, _ in data:
            token = Token(kind, "")
            token.value = value
            token.start_pos = start
            yield token


@v_args(inline=True)
class _Build(Transformer):
    """Builds a Head while parsing; no tree is kept."""

    def single(self, number: Token) -> tuple[float, float]:
        return number.value, number.value

    def ranging(self, low: Token, _: Token, high: Token) -> tuple[float, float]:
        return low.value, high.value

    def mods(self, *words: Token) -> tuple[str, ...]:
        return tuple(word.value for word in words)

    def measure(self, *parts: Any) -> Measure:
        low, high, mods = 1.0, 1.0, ()
        for part in parts[:-1]:
            if part and isinstance(part[0], str):
                mods = part
            else:
                low, high = part
        return Measure(low, high, parts[-1].value, mods)

    def terms(self, measure: Measure) -> tuple[Measure, ...]:
        return (measure,)

    def terms_and(self, terms: tuple[Measure, ...], *rest: Any) -> tuple[Measure, ...]:
        return (*terms, rest[-1])

    def terms_less(self, terms: tuple[Measure, ...], _: Token, measure: Measure) -> tuple[Measure, ...]:
        return (*terms, replace(measure, sign=-1))

    def alike(self, terms: tuple[Measure, ...]) -> _Alike:
        return _Alike([terms])

    def alike_also(self, alike: _Alike, *rest: Any) -> _Alike:
        return _Alike([*alike.sums, rest[-1]], alike.spans)

    def alike_to(self, low: tuple[Measure, ...], _: Token, high: tuple[Measure, ...]) -> _Alike:
        same = len(low) == len(high) == 1 and low[0].unit == high[0].unit
        if same:
            return _Alike([(replace(low[0], high=high[0].high),)])
        if len(low) == len(high) == 1 and (times := _TIMES.get((high[0].unit, low[0].unit))) and high[0].high * times > low[0].high:
            return _Alike([(replace(low[0], high=high[0].high * times),)])
        return _Alike([low, high], True)

    def things(self, *parts: Any) -> Measure:
        return self.measure(*parts)

    def said(self, *parts: Any) -> list[Second]:
        about, each, terms = False, False, []
        for part in parts:
            if isinstance(part, Token):
                about, each = about or part.type == "ABOUT", each or part.type == "EACH"
            elif isinstance(part, _Alike):
                terms += part.sums
            elif isinstance(part, Measure):
                terms.append((part,))
            elif isinstance(part, tuple):
                terms.append((Measure(part[0], part[1], "each"),))
            else:  # a size and its container: "(400 g tin)"
                terms += part.children[0].sums
        return [Second(t, each, about) for t in terms]

    def inner(self, first: list[Second], *rest: Any) -> list[Second]:
        return first + (rest[-1] if rest else [])

    def second(self, _: Token, inner: list[Second], __: Token) -> list[Second]:
        return inner

    def seconds(self, first: list[Second], *more: list[Second]) -> list[Second]:
        return first + [s for other in more for s in other]

    def bare(self, amount: tuple[float, float], *seconds: list[Second]) -> Head:
        said = tuple(s for group in seconds for s in group)
        if amount[1] > 1 and len(said) == 1 and not said[0].about and not said[0].each and said[0].terms[0].unit in VOLUMES | WEIGHTS:
            # "4 (6-ounce) salmon fillets": the bracket before the name is of each; "2 onions (300 g)" is another matter
            return Head(amount[0], amount[1], "each", each=said[0].terms, implied_each=True)
        return Head(amount[0], amount[1], "each", seconds=said)

    def things_alone(self, things: Measure, seconds: list[Second] | tuple[()] = ()) -> Head:
        return Head(things.low, things.high, things.unit, seconds=tuple(seconds), mods=things.mods)

    def measured(self, alike: _Alike, seconds: list[Second] | tuple[()] = ()) -> Head:
        first = alike.sums[0][0]
        return Head(first.low, first.high, first.unit, tuple(alike.sums), tuple(seconds), mods=first.mods, spans=alike.spans)

    def many_bracketed(self, amount: Any, *parts: Any) -> Head:
        second, *others = [part for part in parts if isinstance(part, list)]
        count = next(part.value for part in parts if isinstance(part, Token))
        return Head(amount[0], amount[1], count, seconds=tuple(*others), each=second[0].terms)

    def many(self, amount: Any, *parts: Any) -> Head:
        alike = next(part for part in parts if isinstance(part, _Alike))
        count = next((p.value for p in parts if isinstance(p, Token) and p.type == "COUNT"), "each")
        seconds = next((part for part in parts if isinstance(part, list)), [])
        told = count != "each" or any(isinstance(p, Token) and p.type == "X" for p in parts)
        return Head(amount[0], amount[1], count, seconds=tuple(seconds), each=alike.sums[0], implied_each=not told)

    def one(self, alike: _Alike, count: Token, seconds: Any = ()) -> Head:
        return Head(1.0, 1.0, count.value, seconds=tuple(seconds), each=alike.sums[0], implied_one=True)

    def long(self, amount: Any, *parts: Any) -> Head:
        size = next(p.value for p in parts if isinstance(p, Token) and p.type == "SIZE")
        count = next((p.value for p in parts if isinstance(p, Token) and p.type == "COUNT"), "each")
        seconds = next((part for part in parts if isinstance(part, list)), [])
        return Head(amount[0], amount[1], count, seconds=tuple(seconds), size=size)

    def one_long(self, size: Token, count: Token | None = None, seconds: Any = ()) -> Head:
        unit = "each" if count is None else count.value
        return Head(1.0, 1.0, unit, seconds=tuple(seconds), size=size.value, implied_one=True)

    def about(self, _: Token, head: Head) -> Head:
        return replace(head, about=True)

    def exact(self, head: Head) -> Head:
        return head


_GRAMMAR = (files("proofpan.science.measures") / "lines.lark").read_text(encoding="utf-8")
_PARSER = Lark(_GRAMMAR, parser="lalr", lexer=_Given, transformer=_Build())  # 30 ms, once, and not in the first line's time


def parse_tokens(tokens: list[Scanned]) -> Head | None:
    """The head these tokens make, or None when the grammar has none."""
    try:
        return _PARSER.parse(tokens)  # type: ignore[return-value]
    except UnexpectedInput:
        return None


def longest_head(scan: Scan) -> tuple[Head | None, int]:
    """The longest run of tokens that makes a head, and where in the line it ends."""
    tokens = scan.tokens
    for count in range(len(tokens), 0, -1):
        if (head := parse_tokens(tokens[:count])) is not None:
            return head, scan.at if count == len(tokens) else tokens[count].start
    return None, 0
