"""Gerber files: recognised, and drawn as the two sides of a board.

Rule: what is read here was sent by strangers. Recognising reads a few bounded lines; drawing happens in a
process of its own with bounds on memory, time and the number of objects, and needs the extra ``gerber``.
"""
