"""Paints the objects of a Gerber or drill file into a mask: 1 where there is material, else 0.

Rule: every shape becomes a polygon in pixels here, because the reading library approximates some arcs and
turned rectangles wrongly.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from PIL import Image, ImageDraw

from logbook.core.board_picture import Frame

Point = tuple[float, float]
# An arc may leave its chord by this part of a pixel.
SAGITTA_PX = 0.1
MOST_SHAPES = 300_000
FINER, FULL = 2, 255


class TooMuchError(ValueError):
    """A file of more objects than are drawn."""


def painted(objects: Iterable[Any], frame: Frame, size: tuple[int, int]) -> Image.Image:
    """Return the mask of the objects of one file.

    Raises
    ------
    TooMuchError
        It holds more than ``MOST_SHAPES`` shapes.
    """
    # Pillow's polygons reach half a pixel too far; drawn finer, that is less than counts.
    fine = Frame(frame.pixels_per_mm * FINER, frame.left_mm, frame.top_mm, frame.is_mirrored)
    mask = Image.new("L", (size[0] * FINER, size[1] * FINER), 0)
    draw = ImageDraw.Draw(mask)
    count = 0
    for thing in objects:
        shapes = [(bool(shape.polarity_dark), polygon_of(shape, fine)) for shape in _shapes_of(thing)]
        count += len(shapes)
        if count > MOST_SHAPES:
            message = f"it holds more than {MOST_SHAPES} shapes"
            raise TooMuchError(message)
        if len({is_dark for is_dark, _polygon in shapes}) > 1:
            _stamp(mask, shapes, is_dark=bool(thing.polarity_dark))
        else:
            for is_dark, polygon in shapes:
                _fill(draw, polygon, FULL * is_dark)
    return mask.reduce(FINER).point(lambda value: int(value > FULL / 2 + 1))


def outlines(objects: Iterable[Any], frame: Frame) -> Iterator[list[Point]]:
    """Yield the middle lines of what draws an outline, in pixels."""
    for thing in objects:
        for shape in _shapes_of(thing):
            yield middle_of(shape, frame)


def _shapes_of(thing: Any) -> Iterator[Any]:
    from gerbonara.utils import MM

    yield from thing.to_primitives(MM)


def _fill(draw: ImageDraw.ImageDraw, polygon: Sequence[Point], value: int) -> None:
    if len(polygon) > 2:
        draw.polygon(polygon, fill=value)


def _stamp(mask: Image.Image, shapes: Sequence[tuple[bool, list[Point]]], *, is_dark: bool) -> None:
    """Paint a flash with openings: they leave what lies below them as it is."""
    points = [point for _dark, polygon in shapes for point in polygon]
    left, top = (math.floor(min(point[axis] for point in points)) for axis in (0, 1))
    right, low = (math.ceil(max(point[axis] for point in points)) + 1 for axis in (0, 1))
    left, top, right, low = max(left, 0), max(top, 0), min(right, mask.width), min(low, mask.height)
    if right <= left or low <= top:
        return
    stamp = Image.new("L", (right - left, low - top), 0)
    draw = ImageDraw.Draw(stamp)
    for dark, polygon in shapes:
        _fill(draw, [(x - left, y - top) for x, y in polygon], FULL if dark == is_dark else 0)
    mask.paste(FULL * is_dark, (left, top), stamp)


def polygon_of(shape: Any, frame: Frame) -> list[Point]:
    """Return the edge of a shape in pixels, as points between which it is straight."""
    kind = type(shape).__name__
    if kind == "Circle":
        return _pixels(_round((shape.x, shape.y), shape.r, 0.0, 2 * math.pi, frame), frame)
    if kind == "Rectangle":
        return _pixels(_corners(shape), frame)
    if kind == "Line":
        return _pixels(_stroke([(shape.x1, shape.y1), (shape.x2, shape.y2)], shape.width / 2, frame), frame)
    if kind == "Arc":
        return _pixels(_stroke(_along(shape, frame), shape.width / 2, frame), frame)
    return _pixels(_flattened(shape, frame), frame)


def middle_of(shape: Any, frame: Frame) -> list[Point]:
    """Return the line a shape was drawn along; of a filled one its edge."""
    kind = type(shape).__name__
    if kind == "Line":
        return _pixels([(shape.x1, shape.y1), (shape.x2, shape.y2)], frame)
    if kind == "Arc":
        return _pixels(_along(shape, frame), frame)
    edge = polygon_of(shape, frame)
    return [*edge, *edge[:1]]


def _pixels(points: Iterable[Point], frame: Frame) -> list[Point]:
    """Return points in pixels; Pillow counts from the middle of a pixel."""
    to_pixels = frame.to_pixels
    found = (to_pixels.at(x, y) for x, y in points)
    return [(x - 0.5, y - 0.5) for x, y in found]


def _corners(shape: Any) -> list[Point]:
    sine, cosine = math.sin(shape.rotation), math.cos(shape.rotation)
    half = [(x * shape.w / 2, y * shape.h / 2) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return [(shape.x + x * cosine - y * sine, shape.y + x * sine + y * cosine) for x, y in half]


def _stroke(path: Sequence[Point], half: float, frame: Frame) -> list[Point]:
    """Return the edge of a line with round ends."""
    if half <= 0 or len(path) < 2:
        half = max(half, 0.5 / frame.pixels_per_mm)
    first, last = _bearing(path[0], path[1]), _bearing(path[-2], path[-1])
    return [
        *_beside(path, half),
        *_round(path[-1], half, last + math.pi / 2, last - math.pi / 2, frame),
        *reversed(_beside(path, -half)),
        *_round(path[0], half, first - math.pi / 2, first - 3 * math.pi / 2, frame),
    ]


def _beside(path: Sequence[Point], offset: float) -> list[Point]:
    """Return the path moved to its left, or to its right where ``offset`` is below 0."""
    beside = []
    for place, (x, y) in enumerate(path):
        before, after = path[max(place - 1, 0)], path[min(place + 1, len(path) - 1)]
        turned = _bearing(before, after) + math.pi / 2
        beside.append((x + offset * math.cos(turned), y + offset * math.sin(turned)))
    return beside


def _bearing(start: Point, end: Point) -> float:
    return math.atan2(end[1] - start[1], end[0] - start[0])


def _along(shape: Any, frame: Frame) -> list[Point]:
    start, end, centre = (shape.x1, shape.y1), (shape.x2, shape.y2), (shape.cx, shape.cy)
    return _arc(start, end, centre, frame, is_clockwise=shape.clockwise)


def _flattened(shape: Any, frame: Frame) -> list[Point]:
    if not shape.outline:
        return []
    points = [shape.outline[0]]
    for start, end, (is_clockwise, centre) in shape.segments:
        if is_clockwise is None:
            points.append(end)
        else:
            points += _arc(start, end, centre, frame, is_clockwise=is_clockwise)[1:]
    return points


def _arc(start: Point, end: Point, centre: Point, frame: Frame, *, is_clockwise: bool) -> list[Point]:
    radius = math.dist(start, centre)
    begins, ends = _bearing(centre, start), _bearing(centre, end)
    # A circle that ends where it began goes round once (Gerber Layer Format Specification, 4.7.2).
    is_whole = math.dist(start, end) < 1e-6
    turn = 2 * math.pi if is_whole else (ends - begins) % (2 * math.pi)
    if is_clockwise:
        turn = -2 * math.pi if is_whole else turn - 2 * math.pi
    return [start, *_round(centre, radius, begins, begins + turn, frame)[1:-1], end]


def _round(centre: Point, radius: float, begins: float, ends: float, frame: Frame) -> list[Point]:
    radius_px = max(radius * frame.pixels_per_mm, 0.5)
    step = 2 * math.acos(max(1 - SAGITTA_PX / radius_px, 0.0))
    count = max(8, min(math.ceil(abs(ends - begins) / step), 720))
    angles = (begins + (ends - begins) * place / count for place in range(count + 1))
    return [(centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)) for angle in angles]
