"""One picture laid over another: through it in steps, and what differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.evidence.commands import keep_point_pairs
from logbook.evidence.models import BoardPicture
from logbook.evidence.overlay import (
    MEDIA_TYPE,
    Region,
    difference,
    difference_picture,
    features_of,
    laid_over,
)
from logbook.evidence.queries.pictures import Fit, fit_of, picture_numbered
from logbook.evidence.serving import HEADERS
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.fields import add_problems
from logbook.web.forms.pictures import PointsForm
from logbook.web.picture_marks import Shown, shown_size
from logbook.web.rendering import show

STEPS = (0, 25, 50, 75, 100)
DIFFERENCE = "difference"
POINTS_WIDEST_PX = 560


@dataclass(frozen=True)
class BoxedRegion:
    """A part that differs, with its box in pixels of the page."""

    number: int
    region: Region
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class OverlayPage:
    """What the page of two pictures shows; ``step`` is how much of the upper one is seen."""

    page: ProjectPage
    base: BoardPicture
    over: BoardPicture
    fit: Fit
    residual_mm: float | None
    shown: Shown
    view: str
    step: int
    steps: Sequence[int]
    feature: str
    features: Sequence[str]
    words: tuple[str, str]
    unit: str
    added: float
    removed: float
    regions: Sequence[BoxedRegion]


@dataclass(frozen=True)
class PointsPage:
    """What the page for naming points shows."""

    page: ProjectPage
    base: BoardPicture
    over: BoardPicture
    base_shown: Shown
    over_shown: Shown
    pairs: Sequence[Sequence[float]]
    half: str
    form: PointsForm


def _two(
    request: HttpRequest, slug: str, number: int, other: int, may: str = "read"
) -> tuple[ProjectPage, BoardPicture, BoardPicture]:
    page = project_page(request, slug, may=may)
    base, over = picture_numbered(page.project, number), picture_numbered(page.project, other)
    if base.side != over.side or base == over:
        message = f"{over} is not another picture of the {base.side} side"
        raise NotFoundError(message)
    return ProjectPage(page.project, page.role, "next-spin", base.revision), base, over


def _fitting(base: BoardPicture, over: BoardPicture) -> Fit:
    fit = fit_of(base, over)
    if fit is None:
        message = f"no points say how {over} lies over {base}"
        raise NotFoundError(message)
    return fit


@signed_in
@require_safe
def overlay_detail(request: HttpRequest, slug: str, number: int, other: int) -> HttpResponse:
    """Show one picture over another."""
    page, base, over = _two(request, slug, number, other)
    fit = fit_of(base, over)
    if fit is None:
        return redirect("picture-points", slug, number, other)
    features = features_of(base, over)
    asked, feature = request.GET.get("show", "50"), request.GET.get("feature", features[0])
    view = DIFFERENCE if asked == DIFFERENCE else "through"
    found = difference(base, over, fit, feature) if view == DIFFERENCE else None
    shown = shown_size(base)
    context = OverlayPage(
        page=page,
        base=base,
        over=over,
        fit=fit,
        residual_mm=fit.residual_px / base.pixels_per_mm if base.pixels_per_mm else None,
        shown=shown,
        view=view,
        step=int(asked) if asked in {str(step) for step in STEPS} else 50,
        steps=STEPS,
        feature=feature,
        features=features,
        words=("added", "removed") if base.frame and over.frame else ("lighter", "darker"),
        unit=found.unit if found else "",
        added=found.added if found else 0.0,
        removed=found.removed if found else 0.0,
        regions=_boxed(found.regions, shown) if found else (),
    )
    return show(request, "pictures/overlay.html", context)


def _boxed(regions: Sequence[Region], shown: Shown) -> list[BoxedRegion]:
    return [
        BoxedRegion(
            number,
            one,
            round(one.left * shown.width, 1),
            round(one.top * shown.height, 1),
            round(one.width * shown.width, 1),
            round(one.height * shown.height, 1),
        )
        for number, one in enumerate(regions, start=1)
    ]


@signed_in
@require_safe
def laid_over_image(request: HttpRequest, slug: str, number: int, other: int) -> HttpResponse:
    """Return the upper picture, brought to fit the lower one."""
    _page, base, over = _two(request, slug, number, other)
    return _image(laid_over(base, over, _fitting(base, over)))


@signed_in
@require_safe
def difference_image(request: HttpRequest, slug: str, number: int, other: int) -> HttpResponse:
    """Return what differs as a picture."""
    _page, base, over = _two(request, slug, number, other)
    feature = request.GET.get("feature", features_of(base, over)[0])
    return _image(difference_picture(difference(base, over, _fitting(base, over), feature)))


def _image(data: bytes) -> HttpResponse:
    # Other points change it, so it is asked for anew each time.
    return HttpResponse(
        data, content_type=MEDIA_TYPE, headers={**HEADERS, "Cache-Control": "private, no-cache"}
    )


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def overlay_points(request: HttpRequest, slug: str, number: int, other: int) -> HttpResponse:
    """Name points seen on both pictures, by clicking on each in turn or by typing."""
    page, base, over = _two(request, slug, number, other, may="record")
    form = PointsForm(request.POST or None)
    pairs: list[list[float]] = []
    half = ""
    if form.is_valid():
        pairs, half = _with_click(request, form, base, over)
        if "keep" in request.POST:
            try:
                keep_point_pairs(actor=actor_of(request), base=base, over=over, pairs=pairs)
            except InvalidInputError as error:
                add_problems(form, error)
            else:
                messages.success(request, "The pictures lie one over the other.")
                return redirect("picture-over", slug, number, other)
    status = 400 if form.errors else 200
    if not form.errors:
        text = "\n".join(" ".join(f"{value * 100:.2f}" for value in pair) for pair in pairs)
        form = PointsForm(initial={"pairs": text, "half": half})
    context = PointsPage(
        page=page,
        base=base,
        over=over,
        base_shown=shown_size(base, POINTS_WIDEST_PX),
        over_shown=shown_size(over, POINTS_WIDEST_PX),
        pairs=pairs,
        half=half,
        form=form,
    )
    return show(request, "pictures/points.html", context, status=status)


def _with_click(
    request: HttpRequest, form: PointsForm, base: BoardPicture, over: BoardPicture
) -> tuple[list[list[float]], str]:
    """Return the pairs with the point that was clicked, and the half of a pair that waits for its other."""
    pairs: list[list[float]] = form.cleaned_data["pairs"]
    halves = dict(part.split("=", 1) for part in form.cleaned_data["half"].split(";") if "=" in part)
    for name, picture in (("base", base), ("over", over)):
        given = request.POST.get(f"{name}.x", ""), request.POST.get(f"{name}.y", "")
        if all(one.isdecimal() and len(one) < 6 for one in given):
            shown = shown_size(picture, POINTS_WIDEST_PX)
            x, y = int(given[0]) / shown.width, int(given[1]) / shown.height
            halves[name] = f"{min(x, 1.0):.4f} {min(y, 1.0):.4f}"
    if {"base", "over"} <= halves.keys():
        pair = _numbers(f"{halves['base']} {halves['over']}")
        if len(pair) == 4:
            pairs = [*pairs, pair]
        else:
            form.add_error(None, "Half of a pair cannot be read; click on both pictures again.")
        halves = {}
    return pairs, ";".join(f"{name}={text}" for name, text in halves.items())


def _numbers(text: str) -> list[float]:
    try:
        return [float(word) for word in text.split()]
    except ValueError:
        return []
