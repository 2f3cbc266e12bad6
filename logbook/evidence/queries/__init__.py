"""Reading evidence."""

from logbook.evidence.queries.files import (
    FoundNumber,
    altered_files_of,
    analysis_numbered,
    channels_of,
    evidence_numbered,
    evidence_of,
    has_levels,
    is_shown,
    number_found,
    numbers_found,
    picture_problem,
    shown_path,
    view_of,
)

__all__ = [
    "FoundNumber",
    "altered_files_of",
    "analysis_numbered",
    "channels_of",
    "evidence_numbered",
    "evidence_of",
    "has_levels",
    "is_shown",
    "number_found",
    "numbers_found",
    "picture_problem",
    "shown_path",
    "view_of",
]
