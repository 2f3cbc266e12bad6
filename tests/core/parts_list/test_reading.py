"""Rows become parts; a bad one costs only itself."""

from __future__ import annotations

import pytest

from logbook.core.errors import PartsListError
from logbook.core.parts_list import ReadBill, guess_columns, read_bill, read_table


def read(text: str, names: dict[str, str] | None = None) -> ReadBill:
    return read_bill(read_table(text.encode()), names)


@pytest.mark.parametrize(
    ("name", "meaning"),
    [
        ("Designator", "designators"),
        ("REFERENCE", "designators"),
        ("Ref. Des.", "designators"),
        ("Position", "designators"),
        ("Qty", "quantity"),
        ("Value", "value"),
        ("Footprint", "footprint"),
        ("Package", "footprint"),
        ("MPN", "part_number"),
        ("Part_Number", "part_number"),
        ("Maker", "maker"),
        ("Description", "description"),
        ("Fitted", "fitted"),
        ("fit", "fitted"),
        ("DNP", "not_fitted"),
        ("NF", "not_fitted"),
        ("No load", "not_fitted"),
        ("Bauteil", "designators"),
        ("Referenz", "designators"),
        ("Menge", "quantity"),
        ("Wert", "value"),
        ("Gehäuse", "footprint"),
        ("Hersteller", "maker"),
        ("Quantité", "quantity"),
        ("quantite", "quantity"),
        ("Valeur", "value"),
        ("Boîtier", "footprint"),
        ("Nicht bestückt", "not_fitted"),
    ],
)
def test_columns_are_recognised_by_plain_words(name: str, meaning: str) -> None:
    # Common practice: what people write above these columns.
    assert guess_columns([name]) == {meaning: name}


def test_every_part_gets_a_line_of_its_own() -> None:
    bill = read('Ref,Qty,Value,Package,MPN\n"C1-C3, C10",4,100n,0402,INV-1\nR1,1,4k7,0603,INV-2\n')
    assert [str(part.designator) for part in bill.parts] == ["C1", "C2", "C3", "C10", "R1"]
    assert {part.value for part in bill.parts[:4]} == {"100n"}
    assert (bill.refused, bill.remarks) == ((), ())


def test_a_mapping_of_ones_own_wins() -> None:
    bill = read("Bauteil,Wert,Value\nR1,4k7,wrong\n", {"designators": "Bauteil", "value": "Wert"})
    assert bill.parts[0].value == "4k7"
    assert bill.columns.unused == ("Value",)


@pytest.mark.parametrize(
    ("names", "reason"),
    [
        ({"value": "Value"}, "designators"),
        ({"designators": "Nothing"}, "no column"),
        ({"designators": "Ref", "value": "Ref"}, "named twice"),
        ({"designators": "Ref", "colour": "Value"}, "nothing a column can hold"),
    ],
    ids=["no designators", "no column", "twice", "no meaning"],
)
def test_a_mapping_that_fits_nothing_is_refused(names: dict[str, str], reason: str) -> None:
    with pytest.raises(PartsListError, match=reason):
        read("Ref,Value\nR1,4k7\n", names)


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("?,4k7", "no designator"),
        (",4k7", "names no designator"),
        ("R1,10k", "already stands on line 2"),
        ("R3-R1,10k", "does not count upwards"),
        ("R9,10k,stray", "3 cells"),
        (f"R9,{'x' * 301}", "too long"),
    ],
    ids=["no designator", "none", "twice", "backwards", "cells", "long"],
)
def test_a_bad_row_costs_only_itself(row: str, reason: str) -> None:
    bill = read(f"Ref,Value\nR1,4k7\n{row}\nR2,4k7\n")
    assert [str(part.designator) for part in bill.parts] == ["R1", "R2"]
    assert [one.line for one in bill.refused] == [3]
    assert reason in bill.refused[0].says


@pytest.mark.parametrize(
    ("quantity", "remarks"), [("2", 0), ("2.0", 0), ("0", 0), ("", 0), ("3", 1), ("two", 1)]
)
def test_a_quantity_that_disagrees_is_remarked(quantity: str, remarks: int) -> None:
    bill = read(f'Ref,Qty,Value\n"R1, R2",{quantity},4k7\n')
    assert len(bill.remarks) == remarks
    assert len(bill.parts) == 2


@pytest.mark.parametrize(
    ("column", "word", "is_fitted"),
    [
        ("Fitted", "yes", True),
        ("Fitted", "", True),
        ("Fitted", "no", False),
        ("Fitted", "DNP", False),
        ("Fitted", "NF", False),
        ("Bestückt", "nein", False),
        ("Monté", "oui", True),
        ("Nicht bestückt", "ja", False),
        ("DNP", "", True),
        ("DNP", "x", False),
        ("DNP", "DNP", False),
        ("DNP", "0", True),
        ("Value", "10k DNP", False),
        ("Value", "DNP", False),
        ("Value", "NF", False),
        ("Value", "10 nF", True),
        ("Value", "10k (not fitted)", False),
    ],
)
def test_population_is_read_from_the_words_of_the_trade(column: str, word: str, is_fitted: bool) -> None:
    bill = read(f"Ref,{column}\nR1,{word}\n")
    assert [part.is_fitted for part in bill.parts] == [is_fitted]


def test_a_word_that_says_neither_is_refused() -> None:
    bill = read("Ref,Fitted\nR1,maybe\n")
    assert bill.parts == ()
    assert "does not say" in bill.refused[0].says


def test_two_columns_that_could_contradict_are_refused() -> None:
    with pytest.raises(PartsListError, match="Two columns"):
        read("Ref,Fit,DNP\nR1,yes,\n", {"designators": "Ref", "fitted": "Fit", "not_fitted": "DNP"})
