"""Views of the pages.

Rule: read input, check access, call one query or command, render. Nothing else.
"""
