"""Measures the product against the raw database in the same run: ``make bench``.

Absolute figures depend on the machine; only the ratios are worth comparing.
"""
