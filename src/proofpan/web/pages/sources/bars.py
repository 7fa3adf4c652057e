"""A source beside what we wrote, as two bars: ours is marked off at every multiple of what the source means."""

from __future__ import annotations

from markupsafe import Markup

WIDE, NAME, TOP, BAR, GAP = 760.0, 150.0, 4.0, 28.0, 14.0
MOST_MARKS = 40


def bars(multiple: float, low: float, high: float, meant: str, planned: str, name: str) -> Markup:
    """The picture.

    Parameters: multiple, ours over what the source means, with its interval; meant and planned, what the bars are labelled with;
        name, of the hatching, one a page.
    """
    room = WIDE - NAME - 170.0
    whole = room / max(multiple, high / multiple, 1.0)          # the length of what the source means, so that the longer bar fits
    theirs, ours = whole, whole * multiple
    ends = sorted((whole * multiple / high, whole * multiple / low))
    second = TOP + BAR + GAP
    height = second + BAR + 6
    parts = [
        f'<defs><pattern id="{name}" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<line x1="0" y1="0" x2="0" y2="7" stroke-width="3" class="s-hatch"/></pattern></defs>',
        _word(NAME - 12, TOP + BAR / 2, "the source means", "end"),
        f'<rect x="{NAME}" y="{TOP}" width="{theirs:.1f}" height="{BAR}" class="c-enamel"/>',
        _word(NAME + max(theirs, ends[1]) + 10, TOP + BAR / 2, meant, "start", bold=True),
        _word(NAME - 12, second + BAR / 2, "you wrote", "end"),
        f'<rect x="{NAME}" y="{second}" width="{ours:.1f}" height="{BAR}" fill="url(#{name})" stroke-width="1.5" class="s-ink"/>',
        _word(NAME + ours + 10, second + BAR / 2, planned, "start", bold=True),
    ]
    if ends[1] - ends[0] > 2:
        middle = TOP + BAR / 2
        parts.append(f'<line x1="{NAME + ends[0]:.1f}" x2="{NAME + ends[1]:.1f}" y1="{middle}" y2="{middle}" stroke-width="2" class="s-ink"/>')
    if multiple > 1 and multiple <= MOST_MARKS:
        marks = [k for k in range(1, int(multiple) + 1) if k * whole < ours - 1]
        parts += [f'<line x1="{NAME + k * whole:.1f}" x2="{NAME + k * whole:.1f}" y1="{second}" y2="{second + BAR}" stroke-width="3" class="s-ink"/>'
                  for k in marks]
    label = Markup("The source means {}; you wrote {}, {:.2g} times as much.").format(meant, planned, multiple)
    return Markup('<svg viewBox="0 0 {:g} {:g}" role="img" aria-label="{}">').format(WIDE, height, label) + Markup("".join(parts)) + Markup("</svg>")


def _word(x: float, y: float, text: str, anchor: str, *, bold: bool = False) -> str:
    return str(Markup('<text x="{:.1f}" y="{:.1f}" text-anchor="{}"{}>{}</text>').format(
        x, y + 5.5, anchor, Markup(' class="t-bold"') if bold else "", text))
