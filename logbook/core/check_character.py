"""The check character that catches a mistyped code."""

from __future__ import annotations

import string

from logbook.core.errors import CodeError

# ISO 7064:2003, system MOD 37,36: the digits stand for 0 to 9, the letters for 10 to 35.
SIGNS = string.digits + string.ascii_uppercase
MODULUS = len(SIGNS)
HOW = "letters A to Z and digits, at least one"


def check_character(code: str) -> str:
    """The character that makes a code valid when put after it.

    Parameters
    ----------
    code : str
        Letters and digits; small letters count as capital ones, every other sign is passed over.

    Returns
    -------
    str
        One digit or capital letter.

    Raises
    ------
    CodeError
        When the code holds no letter or digit of ASCII.

    Notes
    -----
    Every single wrong character is caught, and nearly every two neighbours that changed places. Signs
    passed over, such as hyphens, are not protected.

    References
    ----------
    ISO/IEC 7064:2003, Check character systems, clause 9 (hybrid systems), MOD 37,36.

    Examples
    --------
    >>> check_character("A1-2425G-ABC1234002")
    'M'
    """
    values = [SIGNS.index(sign) for sign in code.upper() if sign in SIGNS]
    if not values:
        raise CodeError("the code holds nothing to check", given=code, allowed=HOW)
    product = MODULUS
    for value in values:
        product = ((product + value) % MODULUS or MODULUS) * 2 % (MODULUS + 1)
    return SIGNS[(1 - product) % MODULUS]
