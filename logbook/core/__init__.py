"""The computing core: plain values in, plain values out.

Rule: nothing below here imports Django, a database, a web framework or Celery, and nothing reads a
clock, a file or a setting. Times and random generators are arguments. Every figure names its source.
"""
