"""Tables of evidence: files, analyses of captures, and the pictures of a board."""

from logbook.evidence.models.files import Analysis, Evidence
from logbook.evidence.models.pictures import BoardPicture, Drawing, Placing, PointPairs

__all__ = ["Analysis", "BoardPicture", "Drawing", "Evidence", "Placing", "PointPairs"]
