"""Writes to the pictures of a board and to what is placed on them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.withdrawing import withdraw
from logbook.core.board_picture import Pair, registered
from logbook.core.errors import PictureError
from logbook.evidence import storage
from logbook.evidence.choices import EvidenceKind, PlacingKind, Side
from logbook.evidence.images import upright_size
from logbook.evidence.models import BoardPicture, Evidence, Placing, PointPairs
from logbook.projects.models import Revision

# Two placings nearer than this part of a picture are one, sent twice.
SAME_PLACE = 0.002


def add_picture(*, actor: Actor, revision: Revision, side: str, evidence: Evidence) -> BoardPicture:
    """Take a photo as the picture of a side of a revision."""
    if side not in Side.values:
        allowed = ", ".join(Side.values)
        raise InvalidInputError.of("side", f"no side {side!r}", given=side, allowed=allowed)
    if evidence.project_id != revision.project_id:
        raise InvalidInputError.of("evidence", f"{evidence} belongs to another project", given=evidence)
    if evidence.kind != EvidenceKind.PHOTO:
        message = f"{evidence} is a {evidence.get_kind_display()}"
        raise InvalidInputError.of("evidence", message, given=evidence.kind, allowed="a photo")
    width, height = upright_size(storage.original(evidence.sha256))
    picture = BoardPicture(
        project=revision.project,
        revision=revision,
        side=side,
        evidence=evidence,
        width=width,
        height=height,
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(picture, actor=actor, project_id=revision.project_id)
    return picture


def withdraw_picture(*, actor: Actor, picture: BoardPicture, because: str) -> None:
    """Take a picture of a side back; what was placed on it goes with it."""
    withdraw(picture, because=because, actor=actor, project_id=picture.project_id)


@transaction.atomic
def place(
    *, actor: Actor, picture: BoardPicture, kind: str, x: float, y: float, key: str = "", text: str = ""
) -> Placing:
    """Say where something lies; moving it is withdrawing it and placing it anew."""
    # Two clicks at the same moment wait here for each other.
    BoardPicture.objects.select_for_update().get(pk=picture.pk)
    key, text = key.strip(), text.strip()
    _check_place(kind, key, text, x, y)
    if picture.withdrawn_at is not None:
        message = f"{picture} is withdrawn; place on a picture that stands"
        raise ConflictError(message)
    standing = picture.placings.filter(withdrawn_at__isnull=True, kind=kind, key=key)
    for one in standing:
        is_same = key or one.text == text
        if is_same and abs(one.x - x) < SAME_PLACE and abs(one.y - y) < SAME_PLACE:
            message = f"{one} is already placed there"
            raise ConflictError(message)
    placing = Placing(
        picture=picture,
        kind=kind,
        key=key,
        text=text,
        x=x,
        y=y,
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(placing, actor=actor, project_id=picture.project_id)
    return placing


def _check_place(kind: str, key: str, text: str, x: float, y: float) -> None:
    if kind not in PlacingKind.values:
        allowed = ", ".join(PlacingKind.values)
        raise InvalidInputError.of("kind", f"no kind {kind!r}", given=kind, allowed=allowed)
    if kind == PlacingKind.NOTE and not text:
        raise InvalidInputError.of("text", "a note says something", allowed="1 to 200 characters")
    if kind != PlacingKind.NOTE and not key:
        raise InvalidInputError.of("key", f"say which {kind} it is", allowed=f"the key of a {kind}")
    for name, value in (("x", x), ("y", y)):
        if not (math.isfinite(value) and 0 <= value <= 1):
            message = "the place lies outside the picture"
            raise InvalidInputError.of(name, message, given=value, allowed="0 to 1 of its size")


def withdraw_placing(*, actor: Actor, placing: Placing, because: str) -> None:
    """Take a placing back."""
    withdraw(placing, because=because, actor=actor, project_id=placing.picture.project_id)


def keep_point_pairs(
    *, actor: Actor, base: BoardPicture, over: BoardPicture, pairs: Sequence[Sequence[float]]
) -> PointPairs:
    """Keep 2 to 4 points seen on both pictures; from now on they lay one over the other."""
    if base.project_id != over.project_id or base.side != over.side:
        message = "two pictures of the same side of one project are laid over each other"
        raise InvalidInputError.of("over", message, given=over, allowed=f"the {base.side} side")
    if any(not 0 <= value <= 1 for pair in pairs for value in pair):
        message = "a point lies outside its picture"
        raise InvalidInputError.of("pairs", message, allowed="0 to 1 of its size")
    try:
        found = registered([_in_pixels(base, over, pair) for pair in pairs])
    except PictureError as error:
        raise InvalidInputError.from_core("pairs", error) from error
    flat = found.transform
    kept = PointPairs(
        base=base,
        over=over,
        pairs=[list(pair) for pair in pairs],
        transform=[flat.a, flat.b, flat.c, flat.d, flat.e, flat.f],
        kind=found.kind,
        residual_px=found.residual,
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(kept, actor=actor, project_id=base.project_id)
    return kept


def _in_pixels(base: BoardPicture, over: BoardPicture, pair: Sequence[float]) -> Pair:
    base_x, base_y, over_x, over_y = pair
    return Pair(base_x * base.width, base_y * base.height, over_x * over.width, over_y * over.height)
