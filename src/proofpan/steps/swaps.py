"""What other kitchens' swaps say, for the card's “if you change…”: counted apart, never as the recipe."""

from __future__ import annotations

from proofpan.study.crosstest import CrossTest
from proofpan.study.wording import say
from proofpan.study.words import capital, counted

MOST = 4


def swap_notes(tests: CrossTest | None) -> tuple[tuple[str, str], ...]:
    """(the swap, what came of it) of each swap that another kitchen reported, the commonest first; at most four.

    A swap of one kitchen is one cook's word, and says so.
    """
    told: dict[str, list[bool | None]] = {}
    shown: dict[str, str] = {}
    for _, swap, worked in tests.swapped_runs if tests is not None else ():
        key = " ".join(swap.casefold().strip(" .").split())
        shown.setdefault(key, capital(" ".join(swap.strip(" .").split())))
        told.setdefault(key, []).append(worked)
    out = []
    for key in sorted(told, key=lambda k: (-len(told[k]), k))[:MOST]:
        known = [w for w in told[key] if w is not None]
        if not known:
            continue
        n, good = len(known), sum(known)
        if n == 1:
            says = (say("One other kitchen did so, and it worked; one run shows little.") if good
                    else say("One other kitchen did so, and it failed; one run shows little."))
        else:
            kitchens = capital(counted(n, "other kitchen"))
            says = (say("{kitchens} did so, and it worked each time.", kitchens=kitchens) if good == n
                    else say("{kitchens} did so, and it worked {good} of {n} times.", kitchens=kitchens, good=good, n=n))
        out.append((f"{shown[key]}.", f"{says} {say('Not tasted beside the recipe.')}"))
    return tuple(out)
