"""Background work on evidence."""

from logbook.evidence.jobs.drawings import draw_gerber
from logbook.evidence.jobs.files import analyse, note_no_picture, original_of, prepare_picture

__all__ = ["analyse", "draw_gerber", "note_no_picture", "original_of", "prepare_picture"]
