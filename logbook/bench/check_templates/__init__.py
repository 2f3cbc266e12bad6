"""Ready-made checks of the trade, to begin a project's targets with.

Rule: they are working defaults, each with where its limits come from; none of them speaks for a data sheet.
"""

from logbook.bench.check_templates.library import Library, library
from logbook.bench.check_templates.template import CheckTemplate

__all__ = ["CheckTemplate", "Library", "library"]
