"""Lessons: rules learned on one project, asked of every revision they apply to.

Rule: what a lesson asks, and of whom, stands once it is accepted; a changed view is a new lesson that
supersedes it. Answers and states are only ever added to.
"""
