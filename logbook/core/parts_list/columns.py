"""Which column of a bill of materials holds what, guessed from plain engineering words.

Common practice: the words design programs and people put above such columns, in English, German and French;
no standard names them.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from logbook.core.errors import PartsListError

MEANINGS = (
    "designators", "quantity", "value", "footprint", "part_number", "maker", "description", "fitted",
    "not_fitted",
)  # fmt: skip
WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "designators": (
            "designator", "designators", "reference", "references", "ref", "refs", "ref des", "refdes",
            "reference designator", "reference designators", "position", "positions", "part reference",
            "bauteil", "bauteile", "referenz", "referenzen", "bezeichner", "référence", "références",
            "repère", "repères",
        ),
        "quantity": ("quantity", "qty", "count", "pcs", "pieces", "number off", "menge", "anzahl",
            "stück", "quantité", "qté"),
        "value": ("value", "values", "val", "part value", "wert", "werte", "valeur", "valeurs"),
        "footprint": (
            "footprint", "package", "case", "pattern", "land pattern", "footprint name", "gehäuse",
            "gehaeuse", "bauform", "boîtier", "empreinte",
        ),
        "part_number": (
            "part number", "mpn", "maker part number", "manufacturer part number", "mfr part number",
            "mfg pn", "part no", "order code", "pn", "artikelnummer", "bestellnummer", "teilenummer",
            "numéro de pièce", "référence fabricant",
        ),
        "maker": ("maker", "manufacturer", "mfr", "mfg", "manufacturer name", "vendor", "brand",
            "hersteller", "fabricant"),
        "description": ("description", "desc", "comment", "note", "remark", "text", "beschreibung",
            "bemerkung", "remarque"),
        "fitted": ("fitted", "fit", "populate", "populated", "population", "mount", "mounted", "load",
            "bestückt", "monté"),
        "not_fitted": (
            "dnp", "dnf", "dni", "nf", "nl", "no load", "no fit", "not fitted", "do not fit",
            "do not populate", "do not place", "unpopulated", "nicht bestückt", "non monté",
        ),
    }
)  # fmt: skip
_SIGNS = re.compile(r"[\s_.\-/#:()]+")


@dataclass(frozen=True, slots=True)
class Columns:
    """Where each meaning stands.

    Parameters
    ----------
    names : mapping of str to str
        Meaning to the column's name as it stands in the header.
    places : mapping of str to int
        Meaning to the column, counted from 0.
    unused : tuple of str
        Columns nothing is read from.
    """

    names: Mapping[str, str]
    places: Mapping[str, int]
    unused: tuple[str, ...]

    def __post_init__(self) -> None:
        if "designators" not in self.places:
            raise PartsListError(
                "No column holds the designators.",
                given=", ".join(self.unused)[:200],
                allowed=", ".join(WORDS["designators"]),
                where="columns",
            )
        if {"fitted", "not_fitted"} <= set(self.places):
            raise PartsListError(
                "Two columns say whether a part is fitted.",
                given=f"{self.names['fitted']}, {self.names['not_fitted']}",
                allowed="either fitted or not_fitted",
                where="columns",
            )


def meaning_of_column(name: str) -> str:
    """Say what a column holds, by its name.

    Parameters
    ----------
    name : str
        As it stands in the header; case, accents, spaces, points and dashes do not matter.

    Returns
    -------
    str
        One of `MEANINGS`; empty where it is not known.

    Examples
    --------
    >>> meaning_of_column("Ref. Des."), meaning_of_column("colour")
    ('designators', '')
    """
    plain = _plain(name)
    return next((meaning for meaning, words in WORDS.items() if plain in map(_plain, words)), "")


def _plain(name: str) -> str:
    """Return a name without signs, capitals and accents."""
    taken_apart = unicodedata.normalize("NFKD", _SIGNS.sub(" ", name).strip().lower())
    return "".join(mark for mark in taken_apart if not unicodedata.combining(mark))


def guess_columns(header: Sequence[str]) -> dict[str, str]:
    """Guess what each column holds; the first of several that fit.

    Parameters
    ----------
    header : sequence of str
        The names above the columns.

    Returns
    -------
    dict of str to str
        Meaning to column name, in the order of `MEANINGS`.

    Examples
    --------
    >>> guess_columns(["Item", "Qty", "Reference"])
    {'designators': 'Reference', 'quantity': 'Qty'}
    """
    found: dict[str, str] = {}
    for name in header:
        meaning = meaning_of_column(name)
        if meaning and meaning not in found and not (meaning == "not_fitted" and "fitted" in found):
            found[meaning] = name
    if "fitted" in found:
        found.pop("not_fitted", None)
    return {meaning: found[meaning] for meaning in MEANINGS if meaning in found}


def columns_of(header: Sequence[str], names: Mapping[str, str]) -> Columns:
    """Find the columns that were guessed or named.

    Parameters
    ----------
    header : sequence of str
        The names above the columns.
    names : mapping of str to str
        Meaning to column name.

    Returns
    -------
    Columns
        Where each meaning stands.

    Raises
    ------
    PartsListError
        When a meaning or a column is not known, a column is named twice, or none holds the designators.
    """
    places: dict[str, int] = {}
    for meaning, name in names.items():
        if meaning not in MEANINGS:
            raise _refused(f"{meaning!r} is nothing a column can hold", meaning, MEANINGS)
        if name not in header:
            raise _refused(f"The table has no column {name!r}", name, header)
        if header.index(name) in places.values():
            raise _refused(f"The column {name!r} is named twice", name, ("each column once",))
        places[meaning] = header.index(name)
    unused = tuple(name for place, name in enumerate(header) if name and place not in places.values())
    return Columns(MappingProxyType(dict(names)), MappingProxyType(places), unused)


def _refused(reason: str, given: str, allowed: Sequence[str]) -> PartsListError:
    listed = ", ".join(name for name in allowed if name)[:300]
    return PartsListError(f"{reason}.", given=given[:80], allowed=listed, where="columns")
