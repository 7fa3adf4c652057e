"""Proofpan: prove the recipe before you publish it."""
