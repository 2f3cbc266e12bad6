import pytest

from logbook.core.quantities.dimensions import DIMENSIONS_KNOWN, Dimension, dimension_of
from logbook.core.quantities.unit_table import ROWS


def named(base: str) -> Dimension:
    found = dimension_of(base)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("product", "factors"),
    [
        # SI Brochure, 9th ed. (2019), Table 4: derived units expressed in other units.
        ("W", [("V", 1), ("A", 1)]),
        ("Ω", [("V", 1), ("A", -1)]),
        ("F", [("C", 1), ("V", -1)]),
        ("H", [("V", 1), ("s", 1), ("A", -1)]),
        ("J", [("W", 1), ("s", 1)]),
        ("S", [("Ω", -1)]),
        ("Hz", [("s", -1)]),
        ("Pa", [("N", 1), ("m", -2)]),
        ("T", [("V", 1), ("s", 1), ("m", -2)]),
        ("s", [("Ω", 1), ("F", 1)]),
        ("V/√Hz", [("V", 1), ("Hz", -0.5)]),
    ],
)
def test_a_unit_is_the_product_of_the_others(product: str, factors: list[tuple[str, float]]) -> None:
    found = Dimension()
    for base, exponent in factors:
        found = found.times(named(base), exponent)
    assert found == named(product)


def test_every_unit_but_levels_is_made_of_something() -> None:
    assert {row.base for row in ROWS if not row.logarithmic} == DIMENSIONS_KNOWN


@pytest.mark.parametrize(
    ("found", "name"),
    [
        (Dimension(), "a plain number"),
        (named("V").raised(2), "V²"),
        (named("V").times(named("Ω")), "V·Ω"),
        (named("m").raised(5), "m^5"),
    ],
)
def test_it_has_a_name_people_know(found: Dimension, name: str) -> None:
    assert found.name == name
