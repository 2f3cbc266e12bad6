"""The backup: the whole site in one file, for the same kind of database it came from.

Rule: the snapshot of the database is taken first and the files afterwards. Files of evidence are kept before
their rows and never altered, so every row of the snapshot finds its file.
"""
