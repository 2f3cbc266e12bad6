"""Writes to drawings: bundles of Gerber files and the pictures drawn from them."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import asdict

from django.db import transaction
from PIL import Image

from logbook.common import clock, jobs
from logbook.common.changes import Actor, note_change, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.evidence import storage
from logbook.evidence.choices import DRAW_GERBER, DrawingState, EvidenceKind, Layer
from logbook.evidence.commands.files import add_evidence
from logbook.evidence.gerber.drawing import Drawn, DrawnSide
from logbook.evidence.gerber.layers import check_layers, layers_in
from logbook.evidence.models import BoardPicture, Drawing, Evidence
from logbook.projects.models import Revision


def add_drawing(*, actor: Actor, revision: Revision, evidence: Evidence) -> Drawing:
    """Take a bundle of Gerber files as those of a revision; its layers wait to be confirmed."""
    if evidence.project_id != revision.project_id:
        raise InvalidInputError.of("evidence", f"{evidence} belongs to another project", given=evidence)
    if evidence.kind != EvidenceKind.GERBER:
        message = f"{evidence} is a {evidence.get_kind_display()}"
        raise InvalidInputError.of("evidence", message, given=evidence.kind, allowed="Gerber files")
    drawing = Drawing(
        project=revision.project,
        revision=revision,
        evidence=evidence,
        layers=[asdict(one) for one in layers_in(storage.original(evidence.sha256))],
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(drawing, actor=actor, project_id=revision.project_id)
    return drawing


@transaction.atomic
def confirm_layers(*, actor: Actor, drawing: Drawing, layers: Mapping[str, str]) -> Drawing:
    """Say which layer each file holds, and have both sides drawn in the background."""
    chosen = {row["name"]: layers.get(row["name"], row["layer"]) for row in drawing.layers}
    for name, layer in chosen.items():
        if layer not in Layer.values:
            allowed = ", ".join(Layer.values)
            raise InvalidInputError.of("layers", f"{name}: no layer {layer!r}", given=layer, allowed=allowed)
    check_layers(chosen.items())
    waiting = (DrawingState.TO_CONFIRM, DrawingState.REFUSED)
    taken = Drawing.objects.filter(pk=drawing.pk, state__in=waiting).update(
        state=DrawingState.WAITING,
        problem="",
        layers=[{**row, "layer": chosen[row["name"]]} for row in drawing.layers],
    )
    if not taken:
        message = f"{drawing} is being drawn or drawn already; add the files again to draw them otherwise"
        raise ConflictError(message)
    drawing.refresh_from_db()
    note_change(drawing, action="confirmed", actor=actor, project_id=drawing.project_id, fields={})
    jobs.enqueue(name=DRAW_GERBER, subject_id=drawing.pk)
    return drawing


def store_drawn(*, hold: jobs.Hold, drawing: Drawing, drawn: Drawn) -> None:
    """Keep what was drawn as pictures of the revision, unless somebody else has done so meanwhile."""
    actor = Actor(drawing.recorded_by, "page")
    kept = [(side, _kept(actor, drawing, side)) for side in drawn.sides]
    with transaction.atomic():
        hold.renew()
        for side, evidence in kept:
            store_new(_picture(drawing, side, evidence), actor=actor, project_id=drawing.project_id)
        Drawing.objects.filter(pk=drawing.pk).update(state=DrawingState.DRAWN, has_profile=drawn.has_profile)


def _kept(actor: Actor, drawing: Drawing, side: DrawnSide) -> Evidence:
    label = drawing.revision.label
    return add_evidence(
        actor=actor,
        project=drawing.project,
        revision=drawing.revision,
        name=f"{label}-{side.side}-drawn-{drawing.pk}.png",
        stream=io.BytesIO(side.png),
        caption=f"{side.side.capitalize()} side of {label}, drawn from {drawing.evidence.name}",
    )


def _picture(drawing: Drawing, side: DrawnSide, evidence: Evidence) -> BoardPicture:
    with Image.open(io.BytesIO(side.png)) as image:
        width, height = image.size
    return BoardPicture(
        project=drawing.project,
        revision=drawing.revision,
        side=side.side,
        evidence=evidence,
        drawing=drawing,
        width=width,
        height=height,
        pixels_per_mm=side.frame.pixels_per_mm,
        left_mm=side.frame.left_mm,
        top_mm=side.frame.top_mm,
        recorded_at=clock.now(),
        recorded_by=drawing.recorded_by,
    )


@transaction.atomic
def refuse_drawing(*, hold: jobs.Hold, problem: str) -> None:
    """Store why a bundle is not drawn; its layers may be confirmed otherwise."""
    hold.renew()
    give_up_drawing(hold.subject_id, problem)


def give_up_drawing(drawing_id: int, problem: str) -> None:
    """Store that a bundle cannot be drawn."""
    Drawing.objects.filter(pk=drawing_id).update(state=DrawingState.REFUSED, problem=problem[:500])
