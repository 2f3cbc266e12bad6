"""Words that a mistyped word may have been meant for."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from logbook.common.prepared import any_of
from logbook.recall.models import Word

SHORTEST = 3
LONGEST = 40
TWO_SLIPS_FROM = 6
MOST_NEAR = 12


def keep_words(tokens: Iterable[str]) -> None:
    """Add words to those known. Tokens with digits are keys and values: one digit off is another thing."""
    words = {token for token in tokens if SHORTEST <= len(token) <= LONGEST and token.isalpha()}
    known = Word.objects.filter(word__among=any_of(sorted(words))).values_list("word", flat=True)
    new = sorted(words.difference(known))
    Word.objects.bulk_create(
        [Word(word=word, length=len(word), first=word[0], last=word[-2:]) for word in new],
        ignore_conflicts=True,
    )


def words_near(word: str) -> tuple[str, ...]:
    """Return known words one slip away from ``word``, two for long words, nearest first. One query.

    One of the two ends has to be right.
    """
    if not word.isalpha() or not SHORTEST <= len(word) <= LONGEST:
        return ()
    slips = 2 if len(word) >= TWO_SLIPS_FROM else 1
    ends = Q(first=word[0]) | Q(last=word[-2:])
    alike = Word.objects.filter(ends, length__range=(len(word) - slips, len(word) + slips)).exclude(word=word)
    far = ((distance(word, other, slips), other) for other in alike.values_list("word", flat=True))
    near = sorted((slip, other) for slip, other in far if slip <= slips)
    return tuple(other for _, other in near[:MOST_NEAR])


def distance(one: str, two: str, most: int) -> int:
    """Return in how many letters two words differ, a swap of neighbours counting once; above ``most``, more.

    The restricted distance of F. J. Damerau, A technique for computer detection and correction of spelling
    errors, Communications of the ACM 7 (1964).
    """
    if abs(len(one) - len(two)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(two) + 1))
    for i, letter in enumerate(one, start=1):
        older, before, row = before, row, [i]
        for j, other in enumerate(two, start=1):
            best = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other))
            if i > 1 and j > 1 and letter == two[j - 2] and one[i - 2] == other:
                best = min(best, older[j - 2] + 1)
            row.append(best)
        if min(row) > most:
            return most + 1
    return row[-1]
