"""Quantities: units by country, ingredient lines, conversion with its steps, strengths, and what a source really meant.

`lines.parse_line` reads a line and `faults.check_line` says why one can't stand; `conversion.convert` and `claims.check` show
their steps; `countries`, `oven`, `pans`, `concentrations`, `solutions` and `weighing` hold the arithmetic. Facts are in
kitchen.txt, vocabulary.txt and the CSV tables, each row with its source. Nothing is imported here, so that each part costs
only what it needs.
"""
