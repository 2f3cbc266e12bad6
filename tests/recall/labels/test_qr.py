"""QR codes, read back by a reader that shares nothing with what makes them."""

from __future__ import annotations

import pytest
import segno

from logbook.recall.labels.qr import QUIET, qr_code_of
from tests.recall.labels.qr_reader import Modules, codewords_of, read_qr


def inner(modules: Modules) -> Modules:
    return [row[QUIET:-QUIET] for row in modules[QUIET:-QUIET]]


def test_the_reader_agrees_with_the_worked_example_of_the_standard() -> None:
    """ISO/IEC 18004:2015, annex I: 01234567 as version 1-M (figures from memory)."""
    made = segno.make("01234567", version=1, error="m", boost_error=False)
    data, errors = codewords_of([[bool(one) for one in row] for row in made.matrix])
    assert bytes(data).hex(" ") == "10 20 0c 56 61 80 ec 11 ec 11 ec 11 ec 11 ec 11"
    assert bytes(errors).hex(" ") == "a5 24 d4 c1 ed 36 c7 87 2c 55"


@pytest.mark.parametrize(
    ("text", "version"),
    [
        ("HTTP://L.EXAMPLE/B/T/1/A/0", 2),
        ("HTTPS://LOGBOOK.EXAMPLE/B/SLK/0006/C/J", 2),
        ("HTTPS://LOGBOOK.EXAMPLE/B/SLK/0006/C/J7/V", 3),
        ("https://logbook.example/b/slk/0006_x/c/j7/v", 4),
        ("HTTPS://A-LONG-NAME-OF-A-SITE.EXAMPLE:8443/B/SALTLARK/000000006/C1/J7-OUTER/9", 4),
        ("HTTPS://" + "A" * 100 + ".EXAMPLE/B/SLK/0006/C/J", 6),
    ],
)
def test_a_code_says_what_it_was_given(text: str, version: int) -> None:
    """Table 7: version 2-M holds 38 characters, 3-M 61, 4-M 90, 6-M 154 in alphanumeric mode."""
    modules = inner(qr_code_of(text).rows)
    assert read_qr(modules) == text
    assert len(modules) == 17 + 4 * version


def test_it_is_surrounded_by_four_blank_modules() -> None:
    """ISO/IEC 18004:2015, 9.1: the quiet zone of a QR code is 4 modules wide."""
    rows = qr_code_of("TEST").rows
    edge = [*rows[:4], *rows[-4:], *zip(*(row[:4] + row[-4:] for row in rows), strict=True)]
    assert not any(any(line) for line in edge)
    assert rows[4][4:11] == (True,) * 7  # the upper edge of a finder pattern


def test_its_path_covers_the_dark_modules_and_no_other() -> None:
    code = qr_code_of("TEST")
    covered = {(x + step, y) for x, y, length in code.runs() for step in range(length)}
    assert covered == {(x, y) for y, row in enumerate(code.rows) for x, dark in enumerate(row) if dark}
    assert code.path.count("M") == len(list(code.runs()))
