"""The bench: instruments, sessions, targets, measurements and the current results kept of them.

Rule: a measurement is added or withdrawn, never altered; whatever is derived from the history is
kept in the same transaction and always equals a recomputation.
"""
