"""The way from an inherited state back to its readings, as a list that unfolds."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from logbook.planning.queries import PathReading, PathStep


def way_back(slug: str, path: Sequence[PathStep]) -> SafeString:
    """Return the steps of a path, the last with links to its readings; empty without a path."""
    if not path:
        return SafeString("")
    steps = format_html_join(
        "", "<li><b>{}</b> {}{}</li>", ((one.revision, *_says(slug, one)) for one in path)
    )
    return format_html(
        '<details class="path"><summary>back to the reading on {}</summary><ol>{}</ol></details>',
        path[-1].revision,
        steps,
    )


def _says(slug: str, step: PathStep) -> tuple[str, SafeString]:
    if step.readings:
        return f"{step.state}: ", _readings(slug, step.readings)
    state = f"{step.state}, " if step.state else ""
    if not step.changes:
        return f"{state}no change near", SafeString("")
    changes = ", ".join(step.changes)
    return f"{state}weight {step.weight:.3g}: {changes} at {' → '.join(step.way)}", SafeString("")


def _readings(slug: str, readings: Sequence[PathReading]) -> SafeString:
    return format_html_join(
        ", ",
        '<a class="num" href="{}">{} {}</a> {}',
        (
            (
                reverse("measurement-detail", args=[slug, one.measurement]),
                f"{one.board} {one.point}".rstrip(),
                one.text,
                one.verdict or "no verdict",
            )
            for one in readings
        ),
    )
