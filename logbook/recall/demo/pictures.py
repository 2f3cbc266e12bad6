"""Board pictures: the entries of the story that draw one or place something on it."""

from __future__ import annotations

import io

from logbook.common import jobs
from logbook.common.models import Job
from logbook.evidence.choices import DRAW_GERBER
from logbook.evidence.commands import add_drawing, add_evidence, confirm_layers, place
from logbook.evidence.queries.pictures import pictures_of
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.copper import COPPER
from logbook.recall.demo.story import Entry


def drawn(cast: Cast, entry: Entry) -> None:
    """Keep the Gerber files of a revision and draw them at once, for what is placed on them later."""
    revision = cast.revision(entry, entry.says["revision"])
    kept = add_evidence(
        actor=cast.actor(entry),
        project=cast.project(entry),
        revision=revision,
        name=entry.says["name"],
        stream=io.BytesIO(COPPER[entry.says["made"]]()),
        caption=entry.says["caption"],
    )
    drawing = add_drawing(actor=cast.actor(entry), revision=revision, evidence=kept)
    confirm_layers(actor=cast.actor(entry), drawing=drawing, layers={})
    jobs.run_job(Job.objects.get(name=DRAW_GERBER, subject_id=drawing.pk).pk)


def placed(cast: Cast, entry: Entry) -> None:
    """Place things by the millimetres of the board; nowhere on a site that cannot draw Gerber files."""
    revision = cast.revision(entry, entry.says["revision"])
    picture = pictures_of(revision).filter(side=entry.says["side"], drawing__isnull=False).first()
    if picture is None or picture.frame is None:
        return
    for row in entry.says["placings"]:
        x, y = picture.frame.to_pixels.at(*row["mm"])
        place(
            actor=cast.actor(entry),
            picture=picture,
            kind=row["kind"],
            key=row.get("key", ""),
            text=row.get("text", ""),
            x=x / picture.width,
            y=y / picture.height,
        )
