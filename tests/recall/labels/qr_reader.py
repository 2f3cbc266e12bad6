"""A reader of QR codes for the tests, written from ISO/IEC 18004:2015 and from nothing that makes them.

Versions 1 to 6, levels M, Q and H, numeric, alphanumeric and byte mode. It corrects nothing: every block
must be without error.
"""

from __future__ import annotations

from collections.abc import Sequence

# Table 9: level and version to (number of blocks, data codewords of each, error codewords of each).
BLOCKS = {
    ("M", 1): (1, 16, 10), ("Q", 1): (1, 13, 13), ("H", 1): (1, 9, 17),
    ("M", 2): (1, 28, 16), ("Q", 2): (1, 22, 22), ("H", 2): (1, 16, 28),
    ("M", 3): (1, 44, 26), ("Q", 3): (2, 17, 18), ("H", 3): (2, 13, 22),
    ("M", 4): (2, 32, 18), ("Q", 4): (2, 24, 26), ("H", 4): (4, 9, 16),
    ("M", 5): (2, 43, 24),
    ("M", 6): (4, 27, 16), ("Q", 6): (4, 19, 24), ("H", 6): (4, 15, 28),
}  # fmt: skip
LEVELS = {0b00: "M", 0b11: "Q", 0b10: "H"}  # table 12
FORMAT_MASK = 0b101010000010010  # 7.9.1
# Table 5.
ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
Modules = Sequence[Sequence[bool]]


def read_qr(modules: Modules) -> str:
    """Return the text of a code without its blank border."""
    return text_of(codewords_of(modules)[0], version_of(modules))


def version_of(modules: Modules) -> int:
    return (len(modules) - 17) // 4


def codewords_of(modules: Modules) -> tuple[list[int], list[int]]:
    """Return the data and the error correction codewords, having checked every block."""
    level, mask = _format_of(modules)
    bits = [modules[y][x] ^ _is_masked(mask, x, y) for x, y in _places(modules)]
    words = [
        sum(bit << (7 - at) for at, bit in enumerate(bits[n : n + 8])) for n in range(0, len(bits) - 7, 8)
    ]
    count, data, errors = BLOCKS[level, version_of(modules)]
    blocks = [words[block : count * data : count] for block in range(count)]
    ends = [words[count * data + block : count * (data + errors) : count] for block in range(count)]
    for block, end in zip(blocks, ends, strict=True):
        assert _syndromes([*block, *end], errors) == [0] * errors
    return [word for block in blocks for word in block], [word for end in ends for word in end]


def _format_of(modules: Modules) -> tuple[str, int]:
    """Return level and number of the mask from the format information beside the upper left finder, 7.9.1."""
    places = [*((x, 8) for x in (0, 1, 2, 3, 4, 5, 7)), (8, 8), (8, 7), *((8, y) for y in range(5, -1, -1))]
    read = sum(modules[y][x] << (14 - at) for at, (x, y) in enumerate(places)) ^ FORMAT_MASK
    return LEVELS[read >> 13], read >> 10 & 0b111


def _is_masked(mask: int, x: int, y: int) -> bool:
    """Table 10, with i for the row and j for the column."""
    i, j = y, x
    return [
        (i + j) % 2,
        i % 2,
        j % 3,
        (i + j) % 3,
        (i // 2 + j // 3) % 2,
        i * j % 2 + i * j % 3,
        (i * j % 2 + i * j % 3) % 2,
        ((i + j) % 2 + i * j % 3) % 2,
    ][mask] == 0


def _places(modules: Modules) -> list[tuple[int, int]]:
    """Return where the bits lie, from the lower right corner in columns of two, 7.7.3."""
    side = len(modules)
    places = []
    upwards = True
    for right in [*range(side - 1, 6, -2), *range(5, 0, -2)]:
        for y in range(side - 1, -1, -1) if upwards else range(side):
            places += [(x, y) for x in (right, right - 1) if not _has_function(side, x, y)]
        upwards = not upwards
    return places


def _has_function(side: int, x: int, y: int) -> bool:
    """Say whether a module belongs to a finder, the timing, the format or the alignment pattern."""
    if x == 6 or y == 6 or (x < 9 and y < 9) or (x >= side - 8 and y < 9) or (x < 9 and y >= side - 8):
        return True
    return side > 21 and side - 9 <= x < side - 4 and side - 9 <= y < side - 4


def _syndromes(words: Sequence[int], count: int) -> list[int]:
    """Reed-Solomon over GF(2^8) with the polynomial 100011101, 7.5.2: all are 0 without an error."""
    found = []
    for power in range(count):
        at = 0
        for word in words:
            at = _times(at, _power_of_two(power)) ^ word
        found.append(at)
    return found


def _times(a: int, b: int) -> int:
    product = 0
    while b:
        product ^= a * (b & 1)
        a = a << 1 ^ (0x11D if a & 0x80 else 0)
        b >>= 1
    return product


def _power_of_two(exponent: int) -> int:
    value = 1
    for _ in range(exponent):
        value = _times(value, 2)
    return value


def text_of(data: Sequence[int], version: int) -> str:
    """Return the text of the data codewords, 7.4; the lengths of counts are those of versions 1 to 9."""
    assert version <= 9
    bits = "".join(f"{word:08b}" for word in data)
    text, at = "", 0

    def take(count: int) -> int:
        nonlocal at
        at += count
        return int(bits[at - count : at], 2)

    while at + 4 <= len(bits) and (mode := take(4)):
        if mode == 0b0001:
            for left in range(take(10), 0, -3):
                digits = min(left, 3)
                text += f"{take((4, 7, 10)[digits - 1]):0{digits}d}"
        elif mode == 0b0010:
            for left in range(take(9), 0, -2):
                value = take(11) if left > 1 else take(6)
                text += (
                    ALPHANUMERIC[value // 45] + ALPHANUMERIC[value % 45] if left > 1 else ALPHANUMERIC[value]
                )
        else:
            assert mode == 0b0100
            text += bytes(take(8) for _ in range(take(8))).decode()
    return text
