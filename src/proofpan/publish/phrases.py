"""Wording that documents reuse, in English; a translation is another file like this."""

PHRASES = {
    "how_we_tested": "How we tested the", "make": "What to make", "found": "What we found", "together": "What goes together",
    "baked": "What we made", "looked": "What they looked like", "looked_alt": "{title}: the photographed versions side by side, each under its name",
    "looked_note": "Photographed in the same kitchen, brought to one white balance and, where a scale lay beside them, to one size.",
    "tasted": "How we tasted", "cant": "What we can't tell", "kitchens": "In other kitchens",
    "limits": "What the limits cost", "second": "Another way of reckoning", "figures": "The figures", "method": "The sums", "take": "What to take",
    "as_table": "As a table", "data": "All marks as one file (CSV).",
    "method_text": (
        "Scores are a model over all versions: main effects and pairs of what varies, with how tasters, loads, batches and marks scatter "
        "learned from these very trials (Gaussian, averaged over plausible spreads). Ranges are 95 in 100; an extra is held against the "
        "points it must earn; odds of best are joint over every version. Cochran & Cox 1957 for the layout of trials, Frazier, Powell & "
        "Dayanik 2009 for choosing them, Williams 1949 for serving orders."),
    "sealed": "SEALED", "invented": "Invented: an example of Larkspur Lane.",
}
