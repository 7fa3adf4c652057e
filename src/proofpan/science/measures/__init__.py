"""Quantities: units by country, ingredient lines, conversion with its steps, concentrations, and what a source really meant."""
