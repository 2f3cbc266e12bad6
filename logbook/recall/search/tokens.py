"""Splitting text into the tokens that are stored and asked for.

Keys are written with and without their signs (RLD-2, RLD2, rld 2), values with a letter or with a point
(4k7, 4.7 kΩ; letter codes as in IEC 60062). Each chunk of text therefore gives its parts and itself without
signs, a letter code also its value with a point, and a number its unit. A word and the number after it are
also one token, so that drawer 2 is no drawer with a 2 elsewhere.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

LONGEST = 40
CHUNK = re.compile(r"[^\W_]+(?:[.\-_/+'][^\W_]+)*")
PART = re.compile(r"\d+\.\d+[^\W\d_]*|[^\W_]+")
LETTER_CODE = re.compile(r"(\d{1,4})([rkmgunpv])(\d{1,3})")
NUMBER = re.compile(r"\d+(?:\.\d+)?")
UNIT = re.compile(r"[^\W\d_]{1,5}")
# Units as they stand folded, so without telling m from M.
KNOWN_UNIT = re.compile(r"[pnumkg]?(?:v|a|w|hz|ohm|f|h|s|j|m|bit)(?:pp|rms|p)?|db[a-z]{0,3}|degc|ppm|rpm")
SIGNS = str.maketrans({"μ": "u", "Ω": "ohm", "ω": "ohm", "°": "deg", "ß": "ss"})
LIKE_OHM = re.compile(r"(?<=\d)([kmg])ohms?\Z|(?<=\d)ohms?\Z")


def fold(text: str) -> str:
    """Return text in lower case, without accents, µ as u and Ω as ohm."""
    if text.isascii():
        return text.lower()
    spread = unicodedata.normalize("NFKD", text.translate(SIGNS))
    bare = "".join(letter for letter in spread if not unicodedata.combining(letter))
    return bare.translate(SIGNS).lower()


def main_key(text: str) -> str:
    """Return a key as it is compared: letters and digits only, in lower case."""
    return "".join(letter for letter in fold(text) if letter.isalnum())


def parts_of(chunk: str) -> list[str]:
    """Return the parts of a folded chunk: words, and numbers with their point."""
    return PART.findall(chunk)


def joined(chunk: str) -> str:
    """Return a folded chunk without its signs; a number keeps its point."""
    return chunk if PART.fullmatch(chunk) else "".join(letter for letter in chunk if letter.isalnum())


def value_of(part: str) -> str:
    """Return a letter code with a point and without its ohm: 4k7 and 4.7kohm are 4.7k; empty for others."""
    if code := LETTER_CODE.fullmatch(part):
        whole, letter, after = code.groups()
        return f"{whole}.{after}{'' if letter == 'r' else letter}"
    plain = LIKE_OHM.sub(r"\1", part)
    return plain if plain != part else ""


def with_unit(number: str, unit: str) -> str:
    """Return a number joined to the unit after it, or nothing where they are not that."""
    if not (NUMBER.fullmatch(number) and UNIT.fullmatch(unit)):
        return ""
    both = number + unit
    return value_of(both) or both


def numbered(word: str, number: str) -> str:
    """Return a word joined to the number after it, or nothing where they are not that."""
    return word + number if word.isalpha() and number.isdecimal() else ""


def is_value(number: str, unit: str) -> bool:
    """Say whether two chunks are a number and a unit one knows, and not a serial and a word."""
    return bool(NUMBER.fullmatch(number) and KNOWN_UNIT.fullmatch(unit))


def chunks_of(text: str) -> Iterator[str]:
    """Return the chunks of a text, folded."""
    return (found[0] for found in CHUNK.finditer(fold(text)))


def _of_chunk(chunk: str) -> Iterator[str]:
    """Return the parts of a folded chunk and itself without signs, each with its value."""
    parts = parts_of(chunk)
    whole = joined(chunk)
    for token in (*parts, *([] if parts == [whole] else [whole])):
        yield token
        if value := value_of(token):
            yield value


def tokens_of(text: str) -> Iterator[str]:
    """Return every token a text is found by, in its order."""
    before = ""
    for chunk in chunks_of(text):
        yield from (token[:LONGEST] for token in ([chunk] if chunk.isalpha() else _of_chunk(chunk)))
        both = with_unit(before, chunk) if before[:1].isdecimal() else numbered(before, chunk)
        if both:
            yield both[:LONGEST]
        before = chunk
