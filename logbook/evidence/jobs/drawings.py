"""Drawing Gerber files in the background."""

from __future__ import annotations

from logbook.common.errors import DomainError
from logbook.common.jobs import Hold
from logbook.evidence import storage
from logbook.evidence.choices import DrawingState
from logbook.evidence.commands import refuse_drawing, store_drawn
from logbook.evidence.gerber.drawing import drawn
from logbook.evidence.models import Drawing


def draw_gerber(hold: Hold) -> None:
    """Draw both sides of a board; done once, however often it is called."""
    drawing = Drawing.objects.select_related("project", "revision", "evidence", "recorded_by").get(
        pk=hold.subject_id
    )
    if drawing.state != DrawingState.WAITING:
        return
    hold.renew()
    try:
        found = drawn(
            storage.original(drawing.evidence.sha256), {row["name"]: row["layer"] for row in drawing.layers}
        )
    except DomainError as error:
        refuse_drawing(hold=hold, problem=error.message)
    else:
        store_drawn(hold=hold, drawing=drawing, drawn=found)
