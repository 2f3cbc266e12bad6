"""Reading the pictures of a board, what is placed on them, and how two fit over each other."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from logbook.common.errors import NotFoundError
from logbook.core.board_picture import Transform
from logbook.evidence.models import BoardPicture, Drawing, Placing, PointPairs
from logbook.projects.models import Project, Revision

STANDING = Q(withdrawn_at__isnull=True)


def pictures_of(revision: Revision) -> QuerySet[BoardPicture]:
    """Return the standing pictures of a revision, top side first, with ``placed``. One query."""
    return (
        BoardPicture.objects.filter(STANDING, revision=revision)
        .select_related("evidence", "revision", "project")
        .annotate(placed=Count("placings", filter=Q(placings__withdrawn_at__isnull=True)))
        .order_by("-side", "-id")
    )


def picture_numbered(project: Project, number: int) -> BoardPicture:
    """Return one picture of a project, withdrawn or not. One query."""
    found = (
        BoardPicture.objects.filter(project=project, pk=number)
        .select_related("evidence", "revision", "project", "recorded_by", "withdrawn_by")
        .first()
    )
    if found is None:
        message = f"{project} has no board picture {number}"
        raise NotFoundError(message)
    return found


def placings_on(picture: BoardPicture) -> QuerySet[Placing]:
    """Return what is placed on a picture, in the order it was placed. One query."""
    return Placing.objects.filter(STANDING, picture=picture).select_related("recorded_by").order_by("id")


def placings_of(revision: Revision) -> QuerySet[Placing]:
    """Return what is placed on the standing pictures of a revision. One query."""
    return (
        Placing.objects.filter(STANDING, picture__revision=revision, picture__withdrawn_at__isnull=True)
        .select_related("picture__revision", "recorded_by")
        .order_by("picture_id", "id")
    )


def places_of(project: Project, kind: str, key: str) -> QuerySet[Placing]:
    """Return where something lies on the standing pictures of a project, newest picture first. One query."""
    return (
        Placing.objects.filter(
            STANDING, picture__project=project, picture__withdrawn_at__isnull=True, kind=kind, key=key
        )
        .select_related("picture__revision")
        .order_by("-picture_id", "id")
    )


def placing_numbered(picture: BoardPicture, number: int) -> Placing:
    """Return one placing of a picture, withdrawn or not."""
    found = Placing.objects.filter(picture=picture, pk=number).select_related("picture").first()
    if found is None:
        message = f"{picture} has no placing {number}"
        raise NotFoundError(message)
    return found


def drawings_of(revision: Revision) -> QuerySet[Drawing]:
    """Return the bundles of Gerber files of a revision, newest first. One query."""
    return Drawing.objects.filter(revision=revision).select_related("evidence").order_by("-id")


def drawing_numbered(project: Project, number: int) -> Drawing:
    """Return one bundle of Gerber files of a project. One query."""
    found = (
        Drawing.objects.filter(project=project, pk=number)
        .select_related("evidence", "revision", "project", "recorded_by")
        .first()
    )
    if found is None:
        message = f"{project} has no drawing {number}"
        raise NotFoundError(message)
    return found


def others_of_side(picture: BoardPicture) -> QuerySet[BoardPicture]:
    """Return the other standing pictures of the same side in the project, newest first. One query."""
    return (
        BoardPicture.objects.filter(STANDING, project_id=picture.project_id, side=picture.side)
        .exclude(pk=picture.pk)
        .select_related("revision")
        .order_by("-revision_id", "-id")
    )


@dataclass(frozen=True)
class Fit:
    """How one picture lies over another: from pixels of the one laid over to pixels of the one that stays.

    ``points`` are those it was found from; nothing where both are drawn to scale.
    """

    transform: Transform
    points: PointPairs | None

    @property
    def residual_px(self) -> float:
        """Return how far the points lie from each other still, in pixels of the picture that stays."""
        return self.points.residual_px if self.points else 0.0


def fit_of(base: BoardPicture, over: BoardPicture) -> Fit | None:
    """Return how ``over`` lies over ``base``; nothing while no points were named. At most two queries."""
    if base.frame is not None and over.frame is not None:
        return Fit(over.frame.to_mm.then(base.frame.to_pixels), None)
    named = PointPairs.objects.filter(base=base, over=over).first()
    if named is not None:
        return Fit(named.as_transform, named)
    turned = PointPairs.objects.filter(base=over, over=base).first()
    return Fit(turned.as_transform.inverse(), turned) if turned is not None else None
