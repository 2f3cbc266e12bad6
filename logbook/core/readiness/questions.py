"""What a person asks before ordering a board; the answers are kept, also the *no*."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Parameters
    ----------
    key : str
        Names it in an order record; never changed once used.
    text : str
        Put so that *yes* is the comfortable answer.
    """

    key: str
    text: str


# Common practice of releasing a board for fabrication, in our own words; no standard prescribes the list.
QUESTIONS: tuple[Question, ...] = (
    Question("findings", "Is something decided about every finding, and does every fix name its change?"),
    Question("hazards", "Is everything that can damage or harm either gone or accepted by name?"),
    Question(
        "unproven",
        "Is each of the ten worst unproven things tried on an older board, tried apart from the board, or "
        "given a way out such as a link, an empty pad or a test point?",
    ),
    Question(
        "library",
        "Has a second person compared every new or touched library part with the drawing of its own package?",
    ),
    Question("straps", "Is the table of options and straps printed on the board and in the papers?"),
    Question("legend", "Do legend, drawing and firmware say the same?"),
    Question("fit", "Was it tried in its enclosure at 1:1, on paper or as a dummy?"),
    Question("parts", "Are all parts to be had, none at its end, and their errata read again?"),
    Question("lessons", "Are all lessons answered that are asked before ordering?"),
    Question("test-points", "Does everything that could not be probed last time have a test point now?"),
    Question("acceptances", "Are all acceptances that ran out renewed or closed?"),
    Question("bring-up", "Is what went stale in the bring-up plan of the new board, with its hours?"),
    Question("files", "Is the hash of the files that are sent written down?"),
    Question("money", "Are price and day agreed?"),
)
