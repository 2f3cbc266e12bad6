"""Whether a part is fitted: the words people write for it.

Common practice: fitted, DNP (do not populate), NF (not fitted), NL (no load) and their longer forms;
yes and no also in German and French.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from logbook.core.errors import PartsListError

NOT_FITTED = (
    "dnp", "dnf", "dni", "nf", "nl", "n/f", "not fitted", "no load", "no fit", "no-fit", "do not fit",
    "do not populate", "do not place", "do not install", "unpopulated",
)  # fmt: skip
FITTED = ("fitted", "fit", "load", "populate", "populated", "mount", "mounted")
_YES = {"yes", "y", "true", "1", "x", "ja", "oui"}
_NO = {"no", "n", "false", "0", "-", "nein", "non"}
# Never NF, NL or N/F here: 10 nF is a capacitor.
_AFTER_VALUE = tuple(word for word in NOT_FITTED if word not in {"nf", "nl", "n/f"})
_AT_END = re.compile(rf"[\s,;(\[]+({'|'.join(map(re.escape, _AFTER_VALUE))})[)\]]?\s*$", re.IGNORECASE)


def fitted_by_column(given: Mapping[str, str]) -> bool:
    """Say whether the columns call a part fitted; where nothing is said, it is.

    Parameters
    ----------
    given : mapping of str to str
        Cells of a row by meaning; ``fitted`` and ``not_fitted`` count.

    Returns
    -------
    bool
        False where a word says it is not populated.

    Raises
    ------
    PartsListError
        When a word is neither yes nor no.

    Examples
    --------
    >>> fitted_by_column({"not_fitted": "DNP"}), fitted_by_column({"fitted": "yes"})
    (False, True)
    """
    meaning = "not_fitted" if "not_fitted" in given else "fitted"
    word = " ".join(given.get(meaning, "").lower().split())
    if not word or word in FITTED:
        return True
    if word in NOT_FITTED:
        return False
    if word not in _YES | _NO:
        raise PartsListError(
            f"{word[:40]!r} does not say whether the part is fitted.",
            given=word[:80],
            allowed="yes, no, fitted, not fitted, DNP, NF, NL or nothing",
        )
    return (word in _YES) == (meaning == "fitted")


def without_population(value: str) -> tuple[str, bool]:
    """Take the words for "not fitted" off the end of a value.

    Parameters
    ----------
    value : str
        Such as ``10k DNP``, ``NF`` or ``4k7``.

    Returns
    -------
    tuple of str and bool
        The value alone, and whether it was called not fitted.

    Examples
    --------
    >>> without_population("10k (DNP)")
    ('10k', True)
    """
    if " ".join(value.lower().split()) in NOT_FITTED:
        return "", True
    match = _AT_END.search(value)
    return (value, False) if match is None else (value[: match.start()].rstrip(" ,;/"), True)
