"""Who cooked and who tasted, as far as it is noted: whoever cooked may know a plate by its look, whatever the codes hide."""

from __future__ import annotations

from proofpan.study.kitchen import Kitchen
from proofpan.study.study import Study
from proofpan.study.words import counted, joined

UNNAMED = Kitchen().people


def who_did(study: Study, alone: frozenset[int] = frozenset()) -> tuple[str, ...]:
    """Sentences on who cooked and tasted; none before anything was tasted.

    Parameters: alone, rounds that one person laid, shuffled and marked by themselves, the code read only after the mark.
    """
    tasted = tuple(dict.fromkeys(b.taster for b in study.ballot_records))
    if not tasted:
        return ()
    cooks = tuple(p for p in study.brief.kitchen.people if p not in UNNAMED)
    plates = len({(b.round, b.taster, b.trial, b.pass_) for b in study.ballot_records})
    out = [f"{joined(tasted)} tasted {counted(plates, 'plate')}."]
    both = tuple(t for t in tasted if t in cooks)
    if both:
        out.append(f"{joined(both)} cooked too: the codes hide the version, but whoever cooked may know a plate by its look.")
    elif cooks:
        out.append(f"{joined(cooks)} cooked and didn’t taste.")
    else:
        out.append("Who cooked isn’t noted: name who cooks in the brief, and it is said here whether a cook tasted.")
    if alone:
        seen = sorted(alone)
        which = "They were" if len({b.round for b in study.ballot_records}) == len(seen) else f"Those of {joined([f'round {n}' for n in seen])} were"
        out.append(f"{which} laid, shuffled and tasted by one person: each was marked before the code under it was read.")
    return tuple(out)
