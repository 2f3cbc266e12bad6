"""Reading evidence."""

from logbook.evidence.queries.files import (
    FoundNumber,
    analysis_numbered,
    evidence_numbered,
    evidence_of,
    is_shown,
    number_found,
    numbers_found,
    picture_problem,
    shown_path,
)
from logbook.evidence.queries.verification import evidence_discrepancies_of
from logbook.evidence.queries.views import Wanted, channels_of, drawing_says, drawings_of, view_of

__all__ = [
    "FoundNumber",
    "Wanted",
    "analysis_numbered",
    "channels_of",
    "drawing_says",
    "drawings_of",
    "evidence_discrepancies_of",
    "evidence_numbered",
    "evidence_of",
    "is_shown",
    "number_found",
    "numbers_found",
    "picture_problem",
    "shown_path",
    "view_of",
]
