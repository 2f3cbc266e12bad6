"""All ready-made calculations by their key."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from logbook.core.errors import FormulaError
from logbook.core.quantities.spelling import quoted, shown
from logbook.core.trade.power import POWER
from logbook.core.trade.ready_made import ReadyMade
from logbook.core.trade.signals import SIGNALS
from logbook.core.trade.timing import TIMING

READY_MADE: Mapping[str, ReadyMade] = MappingProxyType({row.key: row for row in (*POWER, *SIGNALS, *TIMING)})


def ready_made(key: str) -> ReadyMade:
    """Return a ready-made calculation.

    Parameters
    ----------
    key : str
        Such as rc-corner.

    Returns
    -------
    ReadyMade
        The calculation as data.

    Raises
    ------
    FormulaError
        When there is none of that key.

    Examples
    --------
    >>> round(ready_made("rc-corner").evaluate({"r": 10e3, "c": 10e-9}), 1)
    1591.5
    """
    if not isinstance(key, str) or key not in READY_MADE:
        raise FormulaError(
            f"{quoted(key)} is no ready-made calculation.",
            given=shown(key),
            allowed=", ".join(READY_MADE),
            where="key",
        )
    return READY_MADE[key]
