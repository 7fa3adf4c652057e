"""An option over several studies: a line a study, and what they say together."""

from __future__ import annotations

from collections.abc import Sequence

from proofpan.publish.charts import ENAMEL, HATCH, INK, SOFT, svg_picture, words_at

ROW, NAMES, LONGEST = 26.0, 0.4, 24
Line = tuple[str, float, float, float]


def evidence_chart(option: str, studies: Sequence[Line], together: Line | None, *, width: float = 480) -> str:
    """Differences with their 95 % intervals on one rule from worse to better; empty where there is nothing to hold together.

    Parameters: studies and together, each (name, difference, low, high) in points.
    """
    if not studies:
        return ""
    left = min(190.0, NAMES * width)
    longest = min(LONGEST, int(left / 7))
    every = [*studies, *([together] if together else [])]
    reach = max(max(abs(low), abs(high)) for _, _, low, high in every) * 1.05 or 1.0

    def x(value: float) -> float:
        return left + (value + reach) / (2 * reach) * (width - left - 10)

    parts = []
    for i, (name, middle, low, high) in enumerate(every):
        y, last = 16 + i * ROW, together is not None and i == len(every) - 1
        ink = ENAMEL if last else INK
        parts.append(words_at(left - 12, y + 5, name if len(name) <= longest else f"{name[: longest - 1]}…", anchor="end", bold=last))
        parts.append(f'<line x1="{x(low):.1f}" x2="{x(high):.1f}" y1="{y:g}" y2="{y:g}" stroke="{ink}" stroke-width="{4 if last else 2}"/>'
                     f'<circle cx="{x(middle):.1f}" cy="{y:g}" r="{7 if last else 5}" fill="{ink}"/>')
    bottom = 10 + len(every) * ROW
    axis = (f'<line x1="{x(0):.1f}" x2="{x(0):.1f}" y1="2" y2="{bottom:g}" stroke="{SOFT}"/>'
            f'<line x1="{left:g}" x2="{width - 10:g}" y1="{bottom:g}" y2="{bottom:g}" stroke="{HATCH}"/>')
    ends = (words_at(x(0), bottom + 16, "0", size=13, fill=SOFT) + words_at(left, bottom + 16, "worse", anchor="start", size=13, fill=SOFT)
            + words_at(width - 10, bottom + 16, "better", anchor="end", size=13, fill=SOFT))
    said = "; ".join(f"{name} {middle:+.1f} ({low:+.1f} to {high:+.1f})" for name, middle, low, high in every)
    return svg_picture(width, bottom + 22, f"{option} over the studies", said.replace("-", "−"), axis + "".join(parts) + ends)
