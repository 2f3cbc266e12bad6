"""The story of a project by day: what was done, read, found, decided and photographed."""

from logbook.recall.timeline.days import KINDS, Day, Timeline, lines_of, timeline_of
from logbook.recall.timeline.line import Line

__all__ = ["KINDS", "Day", "Line", "Timeline", "lines_of", "timeline_of"]
