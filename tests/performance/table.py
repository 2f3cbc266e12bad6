"""The table that is printed: each goal with its ratio, what was aimed at, and whether that was met."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

HEAD = ("goal", "what", "product", "floor", "ratio", "aim", "met")


class Table:
    """Prints the rows of the goals asked for and counts those that were met."""

    def __init__(self) -> None:
        self.only: tuple[str, ...] = ()
        self.met = self.judged = 0

    def wants(self, *goals: str) -> bool:
        """Say whether one of these goals was asked for: ``P1`` asks for P1a too, but not for P10."""
        return not self.only or any(
            _holds(asked, goal) or _holds(goal, asked) for asked in self.only for goal in goals
        )

    def add(self, goal: str, *cells: str) -> None:
        """Print one row and judge it; a row without a goal or an aim is only shown."""
        if goal and not self.wants(goal):
            return
        what, product, beside, ratio, aim = cells
        met = is_met(product, beside, ratio, aim) if goal and aim else None
        if met is not None:
            self.judged += 1
            self.met += met
        _print(goal, what, product, beside, ratio, aim, {None: "", True: "yes", False: "no"}[met])

    def measure(self, goals: tuple[str, ...], work: Callable[..., None], *given: Any) -> None:
        """Measure these goals where one is asked for; a failure is a goal that is not met, not the end."""
        if not self.wants(*goals):
            return
        try:
            work(*given)
        except RuntimeError as problem:
            self.judged += 1
            _print(goals[0], f"not measured: {problem}"[:76], "", "", "", "", "no")

    def end(self) -> None:
        """Print how many goals were met."""
        print(f"{self.met} of {self.judged} goals met", flush=True)  # noqa: T201


def is_met(product: str, beside: str, ratio: str, aim: str) -> bool:
    """Judge a row by its aim: ``equal``, ``>= 0.5``, or a number that the ratio must not exceed."""
    if aim == "equal":
        return product == beside
    if aim.startswith(">= "):
        return _number(ratio) >= float(aim[3:])
    return _number(ratio) <= float(aim)


def of_database(vendor: str, *, sqlite: str, postgresql: str) -> str:
    """Return the aim for the database the site runs on."""
    return postgresql if vendor == "postgresql" else sqlite


def head() -> None:
    """Print the names of the columns."""
    _print(*HEAD)


def row(*cells: str) -> None:
    """Add goal, what, product, floor, ratio and the ratio aimed at to the table of this run."""
    table.add(*cells)


def _holds(asked: str, goal: str) -> bool:
    rest = goal[len(asked) :]
    return goal.startswith(asked) and not rest[:1].isdigit()


def _number(text: str) -> float:
    return float(text.replace(",", ""))


def _print(*cells: str) -> None:
    goal, what, product, beside, ratio, aim, met = cells
    print(  # noqa: T201
        f"{goal:<5} {what:<76} {product:>12} {beside:>12} {ratio:>9} {aim:>9} {met:>4}", flush=True
    )


table = Table()
