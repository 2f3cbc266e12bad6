"""Saved calculations: the arithmetic behind a target's limits, kept with what it decided.

Rule: the numbers come from ``core.tolerance``; here stands what was asked and what came out.
"""
