"""Decisions that states and risks depend on."""

from logbook.planning.commands.applicability import decide_not_applicable, withdraw_not_applicable
from logbook.planning.commands.carrying import carry_over, withdraw_carry_over
from logbook.planning.commands.deciding import RiskSubject, decide_risks, withdraw_disposition
from logbook.planning.commands.ordering import Answered, place_order, record_order

__all__ = [
    "Answered",
    "RiskSubject",
    "carry_over",
    "decide_not_applicable",
    "decide_risks",
    "place_order",
    "record_order",
    "withdraw_carry_over",
    "withdraw_disposition",
    "withdraw_not_applicable",
]
