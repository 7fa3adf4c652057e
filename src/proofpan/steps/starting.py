"""A study file to start from, with everything that is usual in it and a word on each."""

from __future__ import annotations

import json

STARTER = """\
title: {title}
question: Which is best, and is the extra step worth it?
kitchen:
  country: AU                      # whose spoons, cups and names: AU NZ UK US CA IE IN, or another two-letter code
  ovens: [{{name: main, kind: fan, trays: 2, places: 2}}]
tasters: [Ada, Bo]                 # names, or how many
attributes:                        # what is judged; worth = the smallest difference that matters
  - {{name: liking, scale: [0, 10], better: more, weight: 1, worth: 0.5}}
base:
  title: {title}
  makes: 12 pieces
  trial_makes: 6 pieces            # how much of it one trial makes
  ingredients:
    - 250 g plain flour
    - 120 g unsalted butter
    - 80 g white sugar
  method:
    - {{id: mix, do: "Rub the unsalted butter into the plain flour and white sugar.", minutes: [8, 10]}}
    - {{id: bake, do: "Bake on a lined tray.", oven: 170 C fan, until: pale gold at the edge, minutes: [16, 20]}}
factors:                           # what varies; the first option is the recipe as written
  - {{name: fat, options: [{{name: butter}}, {{name: half olive oil, edits: [{{set: unsalted butter, to: 60 g}}, {{add: 50 g olive oil}}]}}]}}
  - name: rest
    asks: worth it                 # best, worth it, or good enough
    options: [{{name: none}}, {{name: 30 min, edits: [{{insert: {{id: rest, do: "Rest, covered.", minutes: 30}}, after: mix}}]}}]
rounds: {{loads: 1, at_most: 3}}
claims: []                         # e.g. {{words: "1 tsp salt per lb of flour", source: an old leaflet, country: US, ours: "4 g salt per 250 g flour"}}
"""


def starter_file(title: str) -> str:
    """The text of a new study file."""
    return STARTER.format(title=json.dumps(title, ensure_ascii=False))
