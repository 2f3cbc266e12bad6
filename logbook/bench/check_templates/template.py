"""One ready-made check as a value that cannot contradict itself."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.bench.choices import CAUTION_LETTERS, Basis, Severity, TargetKind
from logbook.core.errors import CoreError
from logbook.core.limits import parse_limits
from logbook.projects.choices import SubsystemKind

LIMIT_KINDS = {TargetKind.NUMBER: "number", TargetKind.COUNT: "count", TargetKind.YES_NO: "yes_no"}


@dataclass(frozen=True)
class CheckTemplate:
    """One check: what it asks, where its limits come from, and how to plan it.

    ``limits_from`` says whose limits must be filled in where the trade has no default; ``needs_nominal``
    that they are a tolerance around a value of the design. ``standard`` is where the limits are quoted
    from, ``method_standard`` where only the method is; ``confirmed`` is false where the quotation is from
    memory. Everything else is common practice.
    """

    key: str
    kind: str
    name: str
    result: str
    method: str
    minutes: int
    severity: str
    limits: str = ""
    unit: str = ""
    needs_nominal: bool = False
    limits_from: str = ""
    conditions: str = ""
    standard: str = ""
    method_standard: str = ""
    confirmed: bool = True
    waiting_minutes: int = 0
    needs: tuple[str, ...] = ()
    cautions: str = ""
    needs_power: bool = True
    stresses_board: bool = False
    depends_on_firmware: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "needs", tuple(self.needs))
        problem = next((text for text, wrong in self._checks() if wrong), "") or self._limits_problem()
        if problem:
            message = f"check template {self.key}: {problem}"
            raise ValueError(message)

    def _checks(self) -> tuple[tuple[str, bool], ...]:
        return (
            ("no name, method or minutes", not (self.name and self.method and self.minutes > 0)),
            ("unknown kind of subsystem", self.kind not in SubsystemKind.values),
            ("unknown kind of result", self.result not in TargetKind.values),
            ("unknown severity", self.severity not in Severity.values),
            ("unknown caution letter", not set(self.cautions) <= CAUTION_LETTERS),
            ("limits are either given or to be filled in", bool(self.limits) == bool(self.limits_from)),
            ("nothing to confirm", not self.confirmed and not (self.standard or self.method_standard)),
            ("needs itself", self.key in self.needs),
        )

    def _limits_problem(self) -> str:
        if not self.limits:
            return "" if self.unit else "limits to be filled in need a unit"
        nominal = "1" if self.needs_nominal else None
        try:
            limits = parse_limits(self.limits, unit=self.unit or None, nominal=nominal)
        except CoreError as error:
            return error.message
        wanted = LIMIT_KINDS[TargetKind(self.result)]
        return "" if limits.kind == wanted else f"limits are for a {limits.kind} target"

    @property
    def basis(self) -> str:
        """Return where the limits come from, as an issue keeps it; never a data sheet."""
        return Basis.STANDARD if self.standard else Basis.JUDGEMENT

    @property
    def basis_text(self) -> str:
        """Say in words where the limits come from."""
        doubt = "" if self.confirmed else ", not confirmed"
        if self.standard:
            return f"{self.standard}{doubt}; check the edition in force"
        origin = f"to be filled in from the {self.limits_from}" if self.limits_from else "common practice"
        return f"{origin}; method after {self.method_standard}{doubt}" if self.method_standard else origin

    @property
    def asks(self) -> str:
        """Return the limits in words."""
        if not self.limits:
            return f"from the {self.limits_from}"
        return f"nominal {self.limits}" if self.needs_nominal else self.limits
