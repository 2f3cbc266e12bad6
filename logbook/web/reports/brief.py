"""The return brief as a report: the page of looking back, on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms

from logbook.accounts.models import User
from logbook.projects.models import NOTE_TEXTS, Project, ShelvingNote
from logbook.recall.reports.queries import Imprint, imprint_of
from logbook.recall.return_brief import ReturnBrief, return_brief_of
from logbook.web.access import ProjectPage
from logbook.web.forms.look_back import PARTS, LookBackForm
from logbook.web.reviewing import asked_of

# Shown where it counts: before it is plugged in, and among the first steps.
SHOWN_BELOW = ("unsafe", "cells")
HEAD = ("why_stopped", "would_restart", "next_steps")


@dataclass(frozen=True)
class NoteShown:
    """What the note of the last day says, part by part: first why it stopped, then the rest."""

    head: Sequence[tuple[str, str]] = ()
    rest: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class BriefReport:
    """What the printed return brief shows; without ``brief`` the day could not be read."""

    page: ProjectPage
    form: forms.Form
    brief: ReturnBrief | None
    note: NoteShown
    imprint: Imprint


def brief_report_of(page: ProjectPage, user: User, asked: Mapping[str, Any]) -> BriefReport:
    """Gather the return brief of a project, now or as it stood at the end of a day."""
    form = LookBackForm(asked)
    brief = brief_asked_of(form, page.project)
    if brief:
        page = replace(page, revision=brief.revisions.built)
    return BriefReport(page, form, brief, note_of(brief), imprint_of(page.project, user))


def brief_asked_of(form: forms.Form, project: Project) -> ReturnBrief | None:
    """Return the brief of the day a form asks for; none where the day could not be read."""
    return asked_of(form, lambda day: return_brief_of(project, as_of=day))


def note_of(brief: ReturnBrief | None) -> NoteShown:
    """Return what the note says; parts that are empty or shown further down are left out."""
    note: ShelvingNote | None = brief.shelving.note if brief else None
    if brief is None or note is None:
        return NoteShown()
    below = {*SHOWN_BELOW, *(() if brief.steps_left_over else ("next_steps",))}
    names = [name for name in NOTE_TEXTS if name not in below and getattr(note, name)]
    return NoteShown(
        [(PARTS[name][0], getattr(note, name)) for name in names if name in HEAD],
        [(PARTS[name][0], getattr(note, name)) for name in names if name not in HEAD],
    )
