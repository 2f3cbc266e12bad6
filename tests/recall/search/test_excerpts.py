"""The piece of a text around what was asked for."""

from __future__ import annotations

from logbook.recall.search.excerpts import excerpt, marked, plain
from logbook.recall.search.terms import terms_of


def test_it_marks_the_words_as_they_were_written() -> None:
    stretches = marked("Margin of RLD-2, again", terms_of("rld2 marg"))
    assert [(one.text, one.is_hit) for one in stretches] == [
        ("Margin", True), (" of ", False), ("RLD-2", True), (", again", False),
    ]  # fmt: skip


def test_a_long_text_is_cut_around_the_first_hit() -> None:
    text = plain(excerpt("before " * 100 + "corrosion " + "after " * 100, terms_of("corrosion")))
    assert text.startswith("… before")
    assert "corrosion" in text
    assert text.endswith(" …")
    assert len(text) < 270


def test_it_shows_where_most_of_the_words_stand_together() -> None:
    text = "strap 2 is open\n" + "nothing to see here " * 20 + "\nkept in drawer 2, grey cabinet"
    stretches = excerpt(text, terms_of("drawer 2 cabinet"))
    assert [one.text for one in stretches if one.is_hit] == ["drawer", "2", "cabinet"]


def test_without_a_hit_it_is_the_beginning() -> None:
    assert plain(excerpt("first line\nsecond", terms_of("nothing"))) == "first line · second"
