"""The next bench hour: which checks to do with the boards at hand in the minutes there are.

Rule of this package: the choice is exact, not a rule of thumb, equals are told apart by minutes and then
by key, and every check says what it buys, or why it is left out.
"""

from __future__ import annotations

from logbook.core.bench_plan.checks import BenchPlan, Check, CheckKey, LeftOut, Need, PlannedCheck
from logbook.core.bench_plan.plan import best_bench_hour

__all__ = ["BenchPlan", "Check", "CheckKey", "LeftOut", "Need", "PlannedCheck", "best_bench_hour"]
