"""What every app of the site shares: errors, the clock, the record of changes.

Rule: knows no other app; a thing used by two apps gets its named home here.
"""
