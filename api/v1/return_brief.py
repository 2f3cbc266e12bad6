"""The return brief of a project."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.parameters import day_asked
from api.schema import described
from api.v1 import return_brief_shapes as shapes
from api.views import LogbookView
from logbook.planning.queries import HeldDisposition
from logbook.planning.queries.open_findings import KnownFinding
from logbook.projects.models import NOTE_TEXTS, ShelvingNote
from logbook.recall.return_brief import ReturnBrief, return_brief_of
from logbook.recall.return_brief.boards import BoardThen
from logbook.recall.return_brief.connectors import ConnectorThen
from logbook.recall.return_brief.proof import Proof, Unproved
from logbook.recall.return_brief.steps import FirstStep


class ReturnBriefView(LogbookView):
    """Return brief of a project."""

    @described("return_brief", shapes.ReturnBriefShown, parameters=("as_of",))
    def get(self, request: Request, slug: str) -> Response:
        """Return where the project stands, for somebody who comes back after a long time."""
        refuse_unknown_parameters(request, ("as_of",))
        brief = return_brief_of(self.project(slug), as_of=day_asked(request))
        return Response(_head(brief) | _proof(brief.proof) | _things(brief))


def _head(brief: ReturnBrief) -> dict[str, Any]:
    shelving, last, revisions = brief.shelving, brief.last_day, brief.revisions
    session = last.next_step_in
    return {
        "project": brief.project.slug,
        "as_of": brief.as_of,
        "entered_later": brief.entered_later,
        "purpose": brief.project.purpose,
        "state": shelving.state.state if shelving.state else brief.project.state,
        "laid_aside_at": shelving.laid_aside.at if shelving.laid_aside else None,
        "said_then": shelving.laid_aside.note if shelving.laid_aside else "",
        "shelving_note": _note(shelving.note) if shelving.note else None,
        "next_step": session.next_step if session else "",
        "next_step_session": session.pk if session else None,
        "revision": revisions.built.label if revisions.built else None,
        "newest_revision": revisions.newest.label if revisions.newest else None,
        "revisions": [{"revision": one.revision.label, "boards": one.boards} for one in revisions.lines],
    }


def _note(note: ShelvingNote) -> dict[str, Any]:
    return {
        "recorded_at": note.recorded_at,
        "recorded_by": str(note.recorded_by or ""),
        "look_again_on": note.look_again_on,
        "says": {name: getattr(note, name) for name in NOTE_TEXTS if getattr(note, name)},
    }


def _proof(proof: Proof | None) -> dict[str, Any]:
    return {
        "never_verified": [one.target.key for one in proof.never_verified] if proof else [],
        "seen_working": _keys(proof.seen_working) if proof else [],
        "failing": _keys(proof.failing) if proof else [],
        "near_limit": _keys(proof.near_limit) if proof else [],
        "stale": _keys(proof.stale) if proof else [],
        "on_one_board": [target.key for target in proof.on_one_board] if proof else [],
        "subsystems": [
            {"subsystem": row.subsystem.key, "counts": dict(row.counts)}
            for row in (proof.heat if proof else ())
        ],
    }


def _keys(rows: tuple[Unproved, ...]) -> list[str]:
    return [one.target.key for one in rows]


def _things(brief: ReturnBrief) -> dict[str, Any]:
    plan = brief.plan.lines if brief.plan else ()
    return {
        "dangers": [{"kind": one.kind, "subject": one.subject, "says": one.says} for one in brief.dangers],
        "first_steps": [_step(one) for one in brief.first_steps],
        "boards": [_board(one) for one in brief.boards],
        "connectors": [row for one in brief.connectors for row in _connector(one)],
        "undecided_findings": [_finding(one) for one in brief.ends.undecided],
        "unproven_findings": [_finding(one) for one in brief.ends.decided],
        "lapsed_acceptances": [_lapsed(one) for one in brief.ends.lapsed],
        "doubtful_readings": [
            {"instrument": one.instrument.name, "count": one.count, "state": one.state, "says": one.says}
            for one in brief.instruments.doubtful
        ],
        "lessons_since": [
            {"lesson": one.key, "rule": one.lesson.rule, "firmness": one.firmness, "answer": one.answer}
            for one in brief.lessons.since
        ],
        "bench_hour": [
            {"target": line.target.key, "board": line.board.serial, "minutes": line.minutes} for line in plan
        ],
        "spared": [
            {"target": one.target, "board": one.board, "reason": one.reason}
            for one in (brief.plan.spared if brief.plan else ())
        ],
    }


def _step(one: FirstStep) -> dict[str, Any]:
    return {
        "says": one.says,
        "mind": one.mind,
        "cautions": one.cautions,
        "board": one.board.serial if one.board else None,
        "target": one.target.key if one.target else None,
        "is_written": one.is_written,
    }


def _board(one: BoardThen) -> dict[str, Any]:
    return {
        "board": one.board.serial,
        "revision": one.board.revision.label,
        "state": one.state,
        "location": one.event.location,
        "note": one.event.note,
        "reworks": [done.rework.key for done in one.reworks],
        "half_done": [done.rework.key for done in one.reworks if done.is_half_done],
        "options": {option.key: option.position for option in one.options},
        "off_design": [option.key for option in one.off_design],
        "firmware": one.firmware,
        "last_read": one.last_read,
    }


def _connector(one: ConnectorThen) -> list[dict[str, Any]]:
    return [
        {
            "connector": one.connector.key,
            "boards": [board.serial for board in group.boards],
            "carries": list(group.carries),
            "as_designed": group.as_designed,
        }
        for group in one.groups
    ]


def _finding(one: KnownFinding) -> dict[str, Any]:
    row = one.finding
    return {"finding": row.key, "title": row.title, "severity": row.severity, "state": str(one.state)}


def _lapsed(one: HeldDisposition) -> dict[str, Any]:
    return {"kind": one.record.subject_kind, "subject": one.record.subject, "because": one.held.because}
