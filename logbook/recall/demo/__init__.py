"""The invented demo: a dated story in ``fixtures/demo``, replayed through the commands of the site.

No module here writes to a table: every handler calls the command a person would have caused, at the
story's own moment. People, makers, boards and readings are all invented.
"""

# Printed on purpose: the demo's people share one password, so that a visitor can be any of them.
DEMO_PASSWORD = "invented-demo-password"
DEMO_PROJECTS = ("saltlark", "heronbar")
