"""Formulas as data: arithmetic over named parts, read by an own grammar and never by an evaluator.

Rule: text is bounded in length, nodes and depth before anything is computed; a formula is a flat list of
steps, and one table says for each operation its value on numbers, arrays and intervals and its derivatives.
"""

from logbook.core.formulas.formula import Formula
from logbook.core.formulas.intervals import Interval
from logbook.core.formulas.parsing import FUNCTION_NAMES, parse_formula

__all__ = ["FUNCTION_NAMES", "Formula", "Interval", "parse_formula"]
