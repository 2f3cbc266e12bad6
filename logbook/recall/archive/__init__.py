"""The archive: one project in one file that outlives the site.

Rule: what is written is described by ``records`` alone, table by table; writing and reading follow it.
Version 1 is frozen: a change of what it holds is a new version beside it, and version 1 stays readable.
"""
