"""Verdicts on readings after ILAC-G8:09/2019 and JCGM 106:2012.

Rule of this package: a reading meets a limit only through a named decision rule; the side of a border is
found in decimal, every border belongs to the better side, and every verdict says why.
"""

from __future__ import annotations

from logbook.core.verdict.acceptance import (
    Z540_3_LARGEST_FALSE_ACCEPTANCE,
    Z540_3_SMALLEST_TEST_UNCERTAINTY_RATIO,
    AcceptanceFactors,
    acceptance_factors,
    acceptance_limit,
    guard_band_factor,
    rejection_limit,
    specific_risk,
)
from logbook.core.verdict.counts import judge_count, judge_yes_no
from logbook.core.verdict.floors import usual_floor
from logbook.core.verdict.global_risk import GlobalRisks, global_risks
from logbook.core.verdict.judgement import Judgement, judge_number
from logbook.core.verdict.many import NO_VERDICT, VERDICT_OF_CODE, ManyJudged, judge_many
from logbook.core.verdict.probability import conformance_probability
from logbook.core.verdict.verdicts import Verdict, worst_of
from logbook.core.verdict.zones import Proof, proof

__all__ = [
    "NO_VERDICT",
    "VERDICT_OF_CODE",
    "Z540_3_LARGEST_FALSE_ACCEPTANCE",
    "Z540_3_SMALLEST_TEST_UNCERTAINTY_RATIO",
    "AcceptanceFactors",
    "GlobalRisks",
    "Judgement",
    "ManyJudged",
    "Proof",
    "Verdict",
    "acceptance_factors",
    "acceptance_limit",
    "conformance_probability",
    "global_risks",
    "guard_band_factor",
    "judge_count",
    "judge_many",
    "judge_number",
    "judge_yes_no",
    "proof",
    "rejection_limit",
    "specific_risk",
    "usual_floor",
    "worst_of",
]
