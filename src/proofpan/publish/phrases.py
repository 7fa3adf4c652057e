"""Wording that documents reuse, by a short name: looked up, it is in the language that is spoken."""

from collections.abc import Iterator, Mapping

from proofpan.study.wording import spoken

IN_ENGLISH = {
    "how_we_tested": "How we tested the {dish}", "make": "What to make", "found": "What we found", "together": "What goes together",
    "baked": "What we made", "looked": "What they looked like", "looked_alt": "{title}: the photographed versions side by side, each under its name",
    "looked_note": "Photographed in the same kitchen, brought to one white balance and, where a scale lay beside them, to one size.",
    "tasted": "How we tasted", "cant": "What we can't tell", "kitchens": "In other kitchens",
    "limits": "What the limits cost", "second": "Another way of reckoning", "figures": "The figures", "method": "The sums", "take": "What to take",
    "as_table": "As a table", "in_figures": "In figures", "answers_table": "Every difference in figures", "figures_table": "Scores and odds",
    "in_the_version": "in the version to publish",
    "odds_title": "{best} in 100 that it is the best to print, {within} in 100 that it is that or close enough",
    "likeliest": "{version} is likeliest to be the best", "share": "{version} is likeliest to be the best; the other {rest} share what is left",
    "one_palate": "One palate: yours may differ.", "palates": "It speaks for {tasters} palates: yours may differ.",
    "all_readers": "Its ranges also allow for how palates differ, so it may speak for readers.",
    "read": "from a source, not cooked here", "worked out": "worked out, not cooked", "cross-tested": "cooked in other kitchens too",
    "must_differ": "{points} to matter", "must_earn": "{points} to be worth it", "may_lose": "{points} lost at most", "data": "All marks as one file (CSV).",
    "method_text": (
        "Scores are a model over all versions: main effects and pairs of what varies, with how tasters, loads, batches and marks scatter "
        "learned from these very trials (Gaussian, averaged over plausible spreads). Ranges are 95 in 100, or 90 where one side is asked; "
        "an extra is held against the "
        "points it must earn; odds of best are joint over every version. Cochran & Cox 1957 for the layout of trials, Frazier, Powell & "
        "Dayanik 2009 for choosing them, Williams 1949 for serving orders."),
    "sealed": "SEALED", "invented": "Invented: an example of Larkspur Lane.",
}


class _Phrases(Mapping[str, str]):
    """{name: what is said}, with its {places} still open."""

    def __getitem__(self, name: str) -> str:
        return spoken().as_it_stands(IN_ENGLISH[name])

    def __iter__(self) -> Iterator[str]:
        return iter(IN_ENGLISH)

    def __len__(self) -> int:
        return len(IN_ENGLISH)


PHRASES = _Phrases()
