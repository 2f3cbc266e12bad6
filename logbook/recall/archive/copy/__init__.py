"""The copy that opens from disk in any browser.

Rule: every page stands alone with one style sheet beside it; links are relative, nothing is run or fetched.
"""
