"""Every verb with a line of what it does; the first help page is made from these alone, so that it is instant."""

COMMANDS: dict[str, str] = {
    "amend": "Change the brief: a late idea, a dropped option, a correction of the base.",
    "audit": "Read a recipe's text for what would trip a reader.",
    "backup": "Keep a copy of the whole notebook.",
    "ballots": "Bring in what was tasted, from a CSV.",
    "claim": "Check a source: what it means in our units, and ours as a multiple of it.",
    "compare": "Two to six options in front of you: codes, order, and how to blind yourself.",
    "convert": "An amount, a temperature or a strength in another unit.",
    "cross-test": "Send the recipe to other kitchens, and read what they report.",
    "day": "Plan the kitchen day for a round.",
    "design": "Classical designs for those who know them: fractions, screens, split plots, blocks.",
    "demo": "See a study go from question to verdict to a published recipe.",
    "dry-run": "Play the study on invented kitchens before anything is cooked.",
    "editions": "What is published: approve it, correct it, and which copies are out of date.",
    "evidence": "What all studies of the notebook together know of an option.",
    "export": "Write a study out of the notebook as a file.",
    "heat": "How long, how sure, and in whose oven.",
    "import": "Take a study file into the notebook.",
    "import-scores": "Bring in an experiment done elsewhere, by naming a CSV's columns.",
    "new": "Start a study file with everything that may stand in it.",
    "panel": "What a tasting's answers say, from a CSV: triangles, ranks, preferences, just right, agreement.",
    "pantry": "Look a food up: its names, density, allergens and composition.",
    "present": "The presenter's sheet, and charts as pictures for a screen.",
    "proofread": "Hold a text that came back against ours: numbers, units, order, lost lines.",
    "publish": "Freeze a version as an edition, or hear what stops it.",
    "readers": "What readers ask and complain of.",
    "reading": "Numbers from weights, a probe log, a photograph or a recording.",
    "recipe": "A version's recipe, in any reader's measures.",
    "restore": "Take a backup back as the notebook.",
    "retest": "Test an edition again, its version as control; old trials that count less.",
    "round": "Propose the round that is worth most.",
    "schema": "The JSON Schema of a study file.",
    "search": "Find studies in the notebook.",
    "serve": "Open the kitchen's pages.",
    "studies": "List the studies of the notebook.",
    "tie-break": "Two plates, one colleague: codes, and what that one vote moves.",
    "trial": "Bring in what was cooked, from a CSV or in words.",
    "verdict": "What is settled, what isn't, what to publish today, what to cook next.",
}
NAME_WIDTH = 16


def first_page() -> str:
    """What `proofpan --help` prints."""
    lines = ["Usage: proofpan [COMMAND] [ARGUMENTS]", "", "  Prove the recipe before you publish it.", "",
             "  Without a command the kitchen's pages open in the browser.", "", "Commands:"]
    lines += [f"  {name:<{NAME_WIDTH}}{words}" for name, words in COMMANDS.items()]
    lines += ["", "Options:", f"  {'--version':<{NAME_WIDTH}}Show the version.", f"  {'-h, --help':<{NAME_WIDTH}}Show this page.", "",
              "proofpan COMMAND --help shows a command with an example."]
    return "\n".join(lines)
