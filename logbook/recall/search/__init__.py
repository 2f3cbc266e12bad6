"""Finding anything by any of its words.

Rule: what is indexed is split into tokens here, in one way for both databases; the databases only store and
find tokens. Nothing of a project ever leaves the query for somebody who is no member of it.
"""
