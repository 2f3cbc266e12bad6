"""What a person asks who comes back to a shelved board: each answer is within two clicks of the brief.

The questions are common practice among board designers, in our own words; the answers are those of the
invented demo. A click is told by its address or by its words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser

import pytest
from django.test import Client
from pytest_django import DjangoDbBlocker

from logbook.accounts.models import User

pytestmark = pytest.mark.django_db

TODAY, REOPENED = "2024-11-14", "2024-05-06"
MOST_CLICKS = 2
P = "/p/saltlark/"
T, J3, RW_08 = f"{P}targets/", f"{P}connectors/J3/", f"{P}boards/0004/reworks/RW-08/"
RISKS_OF_D = rf"{P}rev/D/risks/(\?as_of=.*)?"
HASH = "[0-9a-f]{64}"
READING = rf"{P}measurements/\d+/"


@dataclass(frozen=True)
class Question:
    """A question, the links to follow from the brief, and words that must stand at the end."""

    number: int
    asks: str
    finds: str
    clicks: tuple[str, ...] = ()
    on: str = TODAY


QUESTIONS = [
    Question(1, "Which revision is this, and where is it marked?", "beside J1", (f"{P}boards/0006/",)),
    Question(2, "What makes this board differ from its sisters?", "RW-08", (f"{P}boards/0004/",)),
    Question(3, "Which reworks, in what order, half done?", "0004 .* RW-08 .* half done"),
    Question(3, "Is the rework shown, cut by cut?", "trace A9 at U7.22 cut", (RW_08,)),
    Question(4, "Which links are fitted, and what do they do?", "J7-MODE R89 not as designed .* 3.3 V logic"),
    Question(5, "Which interface is really on that connector?", "0005 : 3.3 V logic not as designed"),
    Question(5, "The same on the day of the return", "0003 , 0004 : TIA-232", on=REOPENED),
    Question(6, "Which pin is pin 1, is the cable crossed?", "pin 1: left of the key, .* cable crossed"),
    Question(7, "Which input, limit and idle current?", "limit 120 mA for first power.*62 to 94 mA"),
    Question(8, "Is there a cell that may be charged?", "BT1 fitted: time is kept without supply"),
    Question(9, "What was never powered or tried at all?", "COM-7 .* never tried"),
    Question(9, "The same on the day of the return", "MEM-1 data bus walk .* never tried", on=REOPENED),
    Question(10, "What was only seen working?", "UI-1 .* seen working", (f"{P}rev/A/",)),
    Question(11, "What failed and was never explained?", "without a decision F-17 Real-time clock"),
    Question(12, "What passed only after a rework?", "pass RW-01 .repair. in force", ("=RLD", T + "RLD-2/")),
    Question(13, "What passed on one board only?", r"\d+ passed on one board only"),
    Question(14, "Which readings were close to their limit?", "Close to the limit RLA-4", on=REOPENED),
    Question(14, "With which uncertainty?", "2.0 µVrms", (T + "RLA-4/", READING), on=REOPENED),
    Question(15, "Which firmware is on the board?", "0006 rev C.* firmware 0.6.0"),
    Question(16, "Which probe, pin-out and voltage connect?", "VREF .* 3.3 V, for the probe", (J3,)),
    Question(17, "Would connecting erase it?", "no protection bit is set", (f"{P}boards/0006/",)),
    Question(18, "Which clock did it run from?", "Runs from the 25 MHz crystal", (f"{P}boards/0006/",)),
    Question(19, "Was the memory tried in full, hot and cold?", "MEM-8 .* never tried"),
    Question(20, "Which readings are older than a change?", r"\d+ stale, and why .* COM-\d"),
    Question(21, "Which instrument was out of calibration?", "DMM-1 11 readings cleared"),
    Question(22, "Which board is the untouched reference?", "0003 rev B, reference"),
    Question(23, "Which boards were lent, or in the sea?", "lent 2021-10-04 .* green corrosion"),
    Question(24, "Does the board carry what its parts list says?", "boards 0006", (f"{P}rev/C/errata/",)),
    Question(25, "What was to be fixed, did it reach the files?", "F-18 Display latch .* decided"),
    Question(26, "What was accepted, by whom, until when?", "F-13 lapsed accepted by iv until revision D"),
    Question(27, "Which files were ordered, by hash?", HASH, (f"{P}evidence/", "saltlark-c-gerber")),
    Question(28, "Which parts are on it, to look up their state?", "SK-0410", (f"{P}rev/C/bill/",)),
    Question(29, "Does the end-plate fit this revision?", "0006 C 0.5 mm pass", ("=MEC", T + "MEC-2/")),
    Question(30, "Why was it dropped?", "survey money is gone"),
    Question(31, "What was the very next step?", "headphones on the dummy load first"),
    Question(31, "The same on the day of the return", "Nothing more before the quay trial", on=REOPENED),
    Question(32, "What was learned on other boards since?", "HRB-L3 .* must", on=REOPENED),
    Question(33, "What must a next spin prove first?", "never tried EMC-2", (RISKS_OF_D,)),
    Question(33, "What does each planned change make stale?", "F-18 .* MEC-1", (f"{P}rev/D/changes/",)),
    Question(34, "What would hurt if I just plugged it in?", "-6 V at mark"),
    Question(34, "The same on the day of the return", "adaptor would be destroyed", on=REOPENED),
]  # fmt: skip


@dataclass
class Read(HTMLParser):
    """The words of a page below its frame, and its links with theirs."""

    words: list[str] = field(default_factory=list)
    links: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "a":
            self.links.append((dict(attrs).get("href") or "", ""))

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if self.links:
            self.links[-1] = (self.links[-1][0], self.links[-1][1] + data)

    @property
    def text(self) -> str:
        return re.sub(r"\s+", " ", unescape(" ".join(self.words)))


class Reader:
    """The designer of the demo; a page is asked for once, because nothing on it changes here."""

    def __init__(self) -> None:
        self.client = Client()
        self.client.force_login(User.objects.get(username="iv"))
        self.pages: dict[str, Read] = {}

    def read(self, address: str) -> Read:
        if address not in self.pages:
            answer = self.client.get(address)
            assert answer.status_code == 200, address
            html = answer.content.decode()
            page = Read()
            page.feed(html[html.index("<main") : html.index("</main")])
            self.pages[address] = page
        return self.pages[address]


@pytest.fixture(scope="module")
def reader(demo: None, django_db_blocker: DjangoDbBlocker) -> Reader:
    with django_db_blocker.unblock():
        return Reader()


def follow(page: Read, click: str) -> str:
    """Return the address behind a link of the page, told by its address or by its words."""
    for address, words in page.links:
        here = address.partition("&")[0]
        if here == click or here.endswith(f"subsystem{click}") or re.fullmatch(click, here) or click in words:
            return address
    message = f"no link {click} on the page"
    raise AssertionError(message)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: f"{one.number:02} {one.asks}")
def test_the_answer_is_within_two_clicks(question: Question, reader: Reader) -> None:
    page = reader.read(f"{P}look-back/?as_of={question.on}")
    for click in question.clicks:
        page = reader.read(follow(page, click))
    assert len(question.clicks) <= MOST_CLICKS
    assert re.search(question.finds, page.text), page.text


def test_every_question_is_asked() -> None:
    assert {one.number for one in QUESTIONS} == set(range(1, 35))
