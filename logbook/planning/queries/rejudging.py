"""Ancestors' readings, judged by what is asked on the revision that would inherit them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from logbook.bench.models import Measurement
from logbook.bench.queries.yardstick import Yardstick
from logbook.planning.translate import CellResult, ShownReading
from logbook.projects.models import Revision


def judged_here(
    results: Mapping[int, Sequence[CellResult]], revision: Revision, yardstick: Yardstick
) -> dict[int, list[CellResult]]:
    """Return the results of each ancestor under the issues in force for ``revision``.

    Only readings of targets that are asked otherwise there are read and judged again. One query, if any.
    """

    def differs(cell: CellResult, home: int) -> bool:
        there = yardstick.in_force(cell.target_id, home)
        here = yardstick.in_force(cell.target_id, revision.pk)
        return there != here

    wanted = {
        reading.id
        for home, cells in results.items()
        for cell in cells
        if differs(cell, home)
        for reading in (cell.found, cell.designed)
        if reading is not None
    }
    readings = Measurement.objects.in_bulk(wanted) if wanted else {}
    return {
        home: [
            _judged(cell, readings, revision, yardstick) if cell.found.id in readings else cell
            for cell in cells
        ]
        for home, cells in results.items()
    }


def _judged(
    cell: CellResult, readings: Mapping[int, Measurement], revision: Revision, yardstick: Yardstick
) -> CellResult:
    def verdict(reading: ShownReading) -> tuple[str, bool]:
        return yardstick.judged(readings[reading.id], revision.pk)

    found_verdict, found_undecidable = verdict(cell.found)
    cell = cell._replace(found_verdict=found_verdict, found_undecidable=found_undecidable)
    if cell.designed is None:
        return cell
    outdated = yardstick.outdated_by(readings[cell.designed.id], revision.pk)
    if outdated is not None:
        why = f"issue {outdated.number} of the target changed more than its limits"
        return cell._replace(not_counted=why, designed=None, designed_verdict="", designed_undecidable=False)
    word, undecidable = verdict(cell.designed)
    return cell._replace(designed_verdict=word, designed_undecidable=undecidable)
