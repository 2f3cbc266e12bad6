"""Whether a revision is ready to order: derived from its open risks and its lessons, never typed in.

Nothing here decides to order: that is a record of a person, and ``questions`` is what they ask before.
"""

from __future__ import annotations

from logbook.core.readiness.bring_up import Cause, PlanTarget, Stage, Step, bring_up_stages
from logbook.core.readiness.questions import QUESTIONS, Question
from logbook.core.readiness.ready import Gap, Ground, LessonAsked, OpenRisk, gaps_of

__all__ = [
    "QUESTIONS",
    "Cause",
    "Gap",
    "Ground",
    "LessonAsked",
    "OpenRisk",
    "PlanTarget",
    "Question",
    "Stage",
    "Step",
    "bring_up_stages",
    "gaps_of",
]
