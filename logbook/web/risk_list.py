"""The rows of the open-risk list as HTML.

A revision of 300 targets that nobody has measured yet has 300 rows; a template for each would take longer
than deriving them. Every text goes through the ``escape`` of the standard library where it enters the HTML.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from urllib.parse import quote

from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.text import slugify

from logbook.planning.queries import HeldDisposition
from logbook.projects.models import Revision
from logbook.web.risk_rows import ShownRisk
from logbook.web.templatetags.logbook import day
from logbook.web.tones import tone_of_level


@dataclass(frozen=True)
class Deciding:
    """What decisions on the rows lead to; ``allowed`` says whether the reader may decide here and now."""

    slug: str
    revision: Revision
    allowed: bool

    @property
    def address(self) -> str:
        """Return where a row is decided."""
        return reverse("risk-decide", args=[self.slug, self.revision.label])


def risk_lines(rows: Iterable[ShownRisk], deciding: Deciding) -> SafeString:
    """Return one line of the table for each risk."""
    address = escape(deciding.address)
    return SafeString("".join(_line(one, deciding, address) for one in rows))


def _line(one: ShownRisk, deciding: Deciding, address: str) -> str:
    row = one.row
    severity = f"{escape(row.severity)} {escape(one.severity_words)}"
    link = f'<br><a class="nowrap" href="{escape(one.link)}">{escape(one.link_text)}</a>' if one.link else ""
    to_people = f"<p>to people: {escape(row.harm)}</p>" if row.harm else ""
    return (
        f'<tr id="{slugify(one.name)}"{_DECIDED if row.is_decided else ""}>'
        f'<td class="level"><div>{_level(one, may_mark=deciding.allowed)}</div></td>'
        f'<th scope="row">{_subject(one)}</th>'
        f'<td data-label="chance it is out"><div><span class="num">{escape(one.percent)}</span>'
        f"{_factors(one, severity)}</div></td>"
        f'<td data-label="if it is out"><div>{severity}{to_people}</div></td>'
        f'<td data-label="closes it"><div>{escape(row.closes)}{link}</div></td>'
        f'<td data-label="decision"><div>{_decision(one, deciding, address)}</div></td></tr>\n'
    )


_DECIDED = ' class="decided"'


def _level(one: ShownRisk, *, may_mark: bool) -> str:
    row = one.row
    word = f'<span class="word {tone_of_level(row.level)}">{escape(row.level)}</span>'
    if not may_mark:
        return word
    said = escape(f"Mark {row.subject_kind} {row.subject}, {row.kind}")
    box = f'<input type="checkbox" name="row" value="{escape(one.name)}" aria-label="{said}">'
    return f'<label class="mark">{box} {word}</label>'


def _subject(one: ShownRisk) -> str:
    row, subject = one.row, escape(one.row.subject)
    named = f'<a href="{escape(one.page)}">{subject}</a>' if one.page else subject
    why = f'<p class="why">{escape(one.says)}</p>' if one.says else ""
    return f'<span class="kind">{escape(row.kind)}</span> {named} {escape(row.title)}{why}'


def _factors(one: ShownRisk, severity: str) -> str:
    row = one.row
    people = f"{escape(row.harm)}: {escape(row.harm_level)}" if row.harm else "no harm stated"
    needed_by = "1 target" if row.fan_out == 1 else f"{row.fan_out} targets"
    boards = f"<dt>boards</dt><dd>{escape(one.boards)}</dd>" if one.boards else ""
    return (
        '<details><summary class="why">factors</summary><dl class="factors">'
        f"<dt>chance</dt><dd>{escape(row.probability_basis)}</dd>"
        f"<dt>function</dt><dd>{severity}: {escape(row.function_level)}</dd>"
        f"<dt>people</dt><dd>{people}</dd>"
        f'<dt>would save</dt><dd class="num">{escape(one.hours)}</dd>'
        f"<dt>needed by</dt><dd>{needed_by}</dd>{boards}"
        f'<dt>weight</dt><dd class="num">{escape(one.weight)} h</dd></dl></details>'
    )


def _decision(one: ShownRisk, deciding: Deciding, address: str) -> str:
    held = one.row.disposition
    told = '<span class="quiet">none</span>' if held is None else _held(held, deciding)
    if not deciding.allowed:
        return told
    words = "decide" if held is None else "decide anew"
    return f'{told}<p><a href="{address}?row={escape(quote(one.name))}">{words}</a></p>'


def _held(held: HeldDisposition, deciding: Deciding) -> str:
    tone = "pass" if held.is_valid else "cond"
    because = f'<p class="why">{escape(held.held.because)}</p>' if held.held.because else ""
    return (
        f'<span class="word {tone}">{escape(held.held.hold)}</span> {escape(held.says)}{because}'
        f'<p class="why">{escape(held.record.by)}, {day(held.record.recorded_at)}'
        f"{_where(held, deciding)}</p>"
    )


def _where(held: HeldDisposition, deciding: Deciding) -> str:
    """Return the older revision a decision was made on, or the way to withdraw one of this revision."""
    record, revision = held.record, deciding.revision
    if record.revision_id != revision.pk:
        return f", on revision {escape(str(record.revision))}"
    if not deciding.allowed:
        return ""
    args = [deciding.slug, revision.label, record.pk]
    return f' <a href="{escape(reverse("disposition-withdraw", args=args))}">withdraw</a>'
