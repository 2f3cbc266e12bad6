"""Values a thousand times off, or of the other sign, are noticed; honest failures are not."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.core.limits import parse_limits
from logbook.core.limits.slips import slip_in

THOUSAND, THOUSANDTH = "about a thousand times", "about a thousandth of"


@pytest.mark.parametrize(
    ("value", "limits", "said"),
    [
        ("3298", "3.3 V ± 2 %", THOUSAND),
        ("3.298", "3300 mV ± 2 %", THOUSANDTH),
        ("12.288", "12.288 MHz ± 50 ppm", ""),
        ("12288000", "12.288 MHz ± 50 ppm", "about a million times"),
        ("0.0000047", "4.7 µF ± 20 %", "about a millionth of"),
        ("12", "-12 V ± 5 %", "of the other sign than"),
        ("-3.3", "3.234..3.366 V", "of the other sign than"),
    ],
)
def test_it_names_the_slip(value: str, limits: str, said: str) -> None:
    assert slip_in(Decimal(value), parse_limits(limits)) == said


@pytest.mark.parametrize(
    ("value", "limits"),
    [
        ("2.1", "3.3 V ± 2 %"),
        ("33", "3.3 V ± 2 %"),
        ("0", "3.3 V ± 2 %"),
        ("3000", "<= 20 mVpk"),
        ("-5", "0 V ± 10 mV"),
        ("5000", "1..10000 Hz"),
        ("-60", "60 dB ± 1 dB"),
        ("1000", "1 errors"),
    ],
    ids=["low", "ten times", "nothing", "one bound", "around nothing", "inside", "a level", "a count"],
)
def test_an_honest_value_is_not_asked_about(value: str, limits: str) -> None:
    assert slip_in(Decimal(value), parse_limits(limits)) == ""
