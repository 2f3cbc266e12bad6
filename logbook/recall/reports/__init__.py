"""Reports: a page as it stood at one moment, laid out as a PDF file in the background.

Rule: what a report says is settled when it is asked for. The page is kept as it was until the file is made,
so that the file says what the person saw, however long it waited. Files are taken away after a day; what
they were made from stays, and the record says who asked for which.
"""
