"""Template tags and filters of the pages; they are there without being loaded."""

from __future__ import annotations

import re
from datetime import date, datetime

from django import template
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import Truncator

from logbook.evidence.models import Analysis
from logbook.evidence.notes import render_markdown
from logbook.evidence.queries import FoundNumber
from logbook.web import capture_words
from logbook.web.cautions import CAUTIONS, Caution, cautions_for
from logbook.web.strips import Strip
from logbook.web.tones import tone_of_level, tone_of_state, tone_of_verdict
from logbook.web.values import Reading, shown_uncertainty, shown_value

register = template.Library()

MOMENT = re.compile(r"(\d{4}-\d\d-\d\d) (\d\d:\d\d):[\d.]+\+00:00\Z")


@register.filter
def verdict_class(verdict: str | None) -> str:
    """Return the class that repeats a verdict in colour."""
    return tone_of_verdict(verdict or "")


@register.filter
def state_class(state: str) -> str:
    """Return the class that repeats the state of a target in colour."""
    return tone_of_state(state)


@register.filter
def level_class(level: str) -> str:
    """Return the class that repeats a risk level in colour."""
    return tone_of_level(level)


@register.filter
def markdown(text: str) -> SafeString:
    """Return a note as safe HTML."""
    return mark_safe(render_markdown(text))  # noqa: S308 - rendered without HTML and cleaned once more


@register.filter
def when(moment: datetime | None) -> str:
    """Return a moment to the minute in the time zone of the site."""
    if moment is None:
        return ""
    local = timezone.localtime(moment)
    return format_html(
        '<time class="num" datetime="{}">{}</time>', local.isoformat(), f"{local:%Y-%m-%d %H:%M}"
    )


@register.filter
def day(moment: datetime | date | None) -> str:
    """Return the day of a moment in the time zone of the site."""
    if moment is None:
        return ""
    local = timezone.localtime(moment) if isinstance(moment, datetime) else moment
    return format_html('<time class="num" datetime="{0}">{0}</time>', f"{local:%Y-%m-%d}")


@register.filter
def spaced(name: str) -> str:
    """Return the name of a field as words."""
    return name.replace("_", " ")


@register.filter
def number_name(name: str) -> str:
    """Return the name of a number of a capture as it is written at a bench."""
    return capture_words.number_name(name)


@register.filter
def number_text(number: FoundNumber) -> str:
    """Return a number of a capture with its unit."""
    return capture_words.number_text(number)


@register.filter
def asked_text(analysis: Analysis) -> str:
    """Return what an analysis was asked; no query where its file is at hand."""
    return capture_words.asked_text(analysis.evidence.kind, analysis.parameters)


@register.filter
def as_recorded(text: str) -> str:
    """Return a value of the record of changes: shortened, moments to the minute, nothing by its name."""
    if text in {"", "None"}:
        return "nothing"
    found = MOMENT.match(text)
    return f"{found[1]} {found[2]} UTC" if found else Truncator(text).chars(120)


@register.filter
def reading(measurement: Reading) -> str:
    """Return what a reading says: its number with its unit, or its word."""
    return shown_value(measurement)


@register.filter
def uncertainty(measurement: Reading) -> str:
    """Return the expanded uncertainty of a reading, to two digits."""
    return shown_uncertainty(measurement)


@register.inclusion_tag("_limit_strip.html")
def limit_strip(strip: Strip) -> dict[str, Strip]:
    """Draw a limit strip."""
    return {"strip": strip}


@register.inclusion_tag("_cautions.html")
def cautions(letters: str) -> dict[str, tuple[Caution, ...]]:
    """Show the cautions a target's letters name."""
    return {"cautions": cautions_for(letters)}


@register.inclusion_tag("_caution.html")
def caution(key: str) -> dict[str, Caution]:
    """Show one caution; ``P`` is the one of first power."""
    return {"caution": CAUTIONS[key]}
