"""Physical boards: where they are, what was reworked, how their options stand.

Rule: everything a reading's meaning depends on is an interval or an append-only event.
"""
