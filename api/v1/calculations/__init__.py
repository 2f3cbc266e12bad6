"""``/calculations/``: calculations that store nothing and need no token.

Rule: a number of the question is in its ``unit``, text carries its own; numbers of the answer are in the
``unit`` the answer names.
"""
