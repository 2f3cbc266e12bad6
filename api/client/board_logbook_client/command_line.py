"""``board-logbook``: readings from the command line, and a look into the spool.

Ends with 0 when the site took everything, 1 when something was rejected or failed, 3 when
readings still wait.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from board_logbook_client.csv_file import CsvError, readings_of
from board_logbook_client.errors import LogbookError, NotSetUpError, problem_text
from board_logbook_client.logbook import Logbook
from board_logbook_client.planning import USUAL_MINUTES
from board_logbook_client.readings import Recorded
from board_logbook_client.site import Site
from board_logbook_client.spool import DISMISSED, READING, REJECTED, SENT, WAITING, Spool

FINE, FAILED, USAGE, STILL_WAITING = 0, 1, 2, 3
ENDS = (
    "It ends with 0 when the site took everything, 1 when something was rejected or failed, 2 when it is not "
    "set up or wrongly called, 3 when readings still wait."
)
EXAMPLE = "example: board-logbook record saltlark 0006 RLD-2 3.298 V --expanded-uncertainty 0.004"
READING_WORDS = (
    ("project", "slug of the project, as in the address of its page"),
    ("board", "serial of the board, with its zeros: 0006"),
    ("target", "key of the target; '' for a reading of none, with --place or --note"),
    ("value", "3.298, '3298 mV', -1.2e-3, yes or no"),
    ("unit", "unit of a bare number; left out where the value has one or the target's own is meant"),
)
# What argparse takes for an option on most versions of Python.
NEGATIVE = re.compile(r"-\.?[0-9].*")
OPTIONS = (
    ("--point", "named point of the target, such as CH1"),
    ("--instrument", "name of the instrument on the site"),
    ("--instrument-range", "its range, such as '10 V'"),
    ("--expanded-uncertainty", "U, in the unit of the value"),
    ("--coverage-factor", "k of U; 2 when left out"),
    ("--firmware", "what runs on the board"),
    ("--place", "where it was probed, for a reading without a target"),
    ("--note", "a note"),
    ("--taken-at", "when, with its zone; now when left out"),
    ("--key", "unique key; made here when left out"),
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return how it ended."""
    for stream in (sys.stdout, sys.stderr):
        # A lab computer's console may know neither ≤ nor Ω; a question mark is better than no verdict.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    words = sys.argv[1:] if arguments is None else arguments
    # A blank before it tells a number from an option.
    given = _parser().parse_args([f" {word}" if NEGATIVE.fullmatch(word) else word for word in words])
    run: Callable[[argparse.Namespace], int] = given.run
    try:
        return run(given)
    except NotSetUpError as error:
        return _complain(str(error), USAGE)
    except (LogbookError, CsvError, TypeError, ValueError) as error:
        return _complain(str(error), FAILED)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="board-logbook",
        description="Posts readings to a Board Logbook site. The address comes from LOGBOOK_URL, the token "
        "(scopes read and record) from LOGBOOK_TOKEN, the file of the spool from LOGBOOK_SPOOL "
        "(~/.board-logbook/spool.sqlite3 when left out).",
        epilog=f"{ENDS} Help on one: board-logbook record --help",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    record = _command(commands, "record", _record, "record one reading and print its verdict")
    record.epilog = EXAMPLE
    for name, text in READING_WORDS:
        record.add_argument(name, nargs="?" if name == "unit" else None, default="", help=text)
    for option, text in OPTIONS:
        record.add_argument(option, default="", metavar="TEXT", help=text)
    post = _command(commands, "post-csv", _post_csv, "record the readings of a CSV file; again is harmless")
    post.add_argument("project", help="slug of the project")
    post.add_argument("file", type=Path, help="columns as the site's own import takes them")
    shown = _command(
        commands, "spool", _show, "show what waits and what was rejected, with the site's reason"
    )
    shown.add_argument("--all", action="store_true", help="what was dismissed too")
    flush = _command(commands, "flush", _flush, "send what waits")
    flush.add_argument(
        "--wait", type=float, default=60.0, metavar="SECONDS", help="how long to try; usually 60"
    )
    retry = _command(commands, "retry", _retry, "let rejected readings wait again, their cause mended")
    retry.add_argument("keys", nargs="*", metavar="KEY", help="their keys; all rejected ones when left out")
    dismiss = _command(commands, "dismiss", _dismiss, "set rejected readings aside; they stay in the spool")
    dismiss.add_argument("keys", nargs="+", metavar="KEY", help="their keys, as shown by spool")
    move = _command(commands, "move", _move, "send what is spooled for another address to LOGBOOK_URL")
    move.add_argument("old", help="the address the site had, as shown by spool")
    untested = _command(
        commands, "untested", _untested, "list the targets and points nobody has read on a board"
    )
    following = _command(commands, "next", _next, "list what to do next on the boards at hand")
    for command in (untested, following):
        command.add_argument("project", help="slug of the project")
    untested.add_argument("board", help="serial of the board")
    following.add_argument("boards", nargs="+", metavar="BOARD", help="serials of the boards at hand")
    following.add_argument("--minutes", type=int, default=USUAL_MINUTES, help="the time there is; usually 60")
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    run: Callable[[argparse.Namespace], int],
    text: str,
) -> argparse.ArgumentParser:
    made = commands.add_parser(name, help=text, description=text[0].upper() + text[1:] + ".")
    made.set_defaults(run=run)
    return made


def _record(given: argparse.Namespace) -> int:
    names = [option[2:].replace("-", "_") for option, _ in OPTIONS]
    more = {name: getattr(given, name) for name in names if getattr(given, name)}
    with Logbook() as logbook:
        recorded = logbook.record(
            given.target, given.value.strip(), given.unit, project=given.project, board=given.board, **more
        )
        print(recorded)
        if given.instrument and recorded.status == SENT:
            _warn(logbook, [given.instrument])
    return _end_of([recorded])


def _post_csv(given: argparse.Namespace) -> int:
    rows = readings_of(given.file)
    with Logbook() as logbook:
        kept = []
        for row in rows:
            what = {name: row.pop(name, "") for name in ("board", "target", "unit")}
            what.update(project=given.project, value=row.pop("value", None))
            kept.append(logbook.keep("", what, row))
        logbook.flush()
        recorded = [logbook.recorded(seq) for seq in kept]
    for row, one in zip(rows, recorded):
        if one.status != SENT:
            print(f"{row['key']}: {one}")
    ends = [one.status for one in recorded]
    words = ", ".join(f"{ends.count(word)} {word}" for word in (SENT, WAITING, REJECTED))
    print(f"{len(recorded)} readings: {words}")
    return _end_of(recorded)


def _show(given: argparse.Namespace) -> int:
    """Show the spool without asking for a token: also on a computer that is not set up any more."""
    spool = Spool()
    listed = (WAITING, REJECTED, *((DISMISSED,) if given.all else ()))
    counts = spool.counts()
    for site in sorted({address for address, _ in counts}):
        words = ", ".join(f"{counts.get((site, word), 0)} {word}" for word in (*listed, SENT))
        print(f"{site}: {words}")
        trouble = spool.trouble(site)[2]
        if trouble:
            print(f"  last trouble: {trouble}")
        for entry in (one for word in listed for one in spool.with_status(word, site)):
            what = "session " + entry.kind if entry.kind != READING else entry.body.get("target", "")
            where = f"{entry.project} {entry.body.get('board', '')}".strip()
            value = f"{entry.body.get('value', '')} {entry.body.get('unit', '')}".strip()
            why = f" - {problem_text(entry.problem)}" if entry.problem else ""
            print(f"  {entry.status} {entry.key} {where} {what} {value}{why}")
    return _end_of_spool(spool)


def _flush(given: argparse.Namespace) -> int:
    with Logbook() as logbook:
        counts = logbook.flush(given.wait)
        print(f"{counts.waiting} waiting, {counts.rejected} rejected")
        if counts.waiting and logbook.trouble:
            _complain(logbook.trouble, STILL_WAITING)
    return STILL_WAITING if counts.waiting else FAILED if counts.rejected else FINE


def _retry(given: argparse.Namespace) -> int:
    spool = Spool()
    number = spool.wait_again(given.keys or None)
    print(f"{number} waiting again; send them with: board-logbook flush")
    return FINE if number or not given.keys else FAILED


def _dismiss(given: argparse.Namespace) -> int:
    number = Spool().dismiss(given.keys)
    print(f"{number} dismissed; show them with: board-logbook spool --all")
    return FINE if number else FAILED


def _move(given: argparse.Namespace) -> int:
    number = Spool().move(given.old.rstrip("/"), Site.named().address)
    print(f"{number} moved; send them with: board-logbook flush")
    return FINE if number else FAILED


def _untested(given: argparse.Namespace) -> int:
    with Logbook() as logbook:
        for one in logbook.untested(given.project, given.board):
            print("\t".join((one.target, one.point, one.subsystem, one.state, one.reason)))
    return FINE


def _next(given: argparse.Namespace) -> int:
    with Logbook() as logbook:
        for check in logbook.what_next(given.project, given.boards, given.minutes):
            print(check)
        _warn(logbook, [])
    return FINE


def _warn(logbook: Logbook, instruments: Sequence[str]) -> None:
    """Name instruments out of calibration; where the site cannot say, that takes nothing away."""
    with contextlib.suppress(LogbookError):
        for sentence in logbook.out_of_calibration(instruments):
            _complain(sentence, FINE)


def _end_of(recorded: Sequence[Recorded]) -> int:
    words = {one.status for one in recorded}
    return FAILED if REJECTED in words else STILL_WAITING if WAITING in words else FINE


def _end_of_spool(spool: Spool) -> int:
    words = {status for _, status in spool.counts()}
    return FAILED if REJECTED in words else STILL_WAITING if WAITING in words else FINE


def _complain(text: str, end: int) -> int:
    print(f"board-logbook: {text}", file=sys.stderr)
    return end
