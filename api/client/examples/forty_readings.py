"""Forty readings of a simulated meter over a network that is cut twice: none lost, none doubled.

    pip install pyvisa pyvisa-sim
    LOGBOOK_URL=http://127.0.0.1:8000 LOGBOOK_TOKEN=… \\
        python forty_readings.py saltlark 0006 RLD-2 --meter DMM-1 --cut

Without ``--cut`` it goes to the site directly: pull the cable yourself while it runs. Ends with 0 once the
site itself lists all forty, each once and in order. ``make forty`` does it all against the invented demo.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from board_logbook_client import Instrument, Logbook, Recorded
from cable import Cable

BENCH = Path(__file__).with_name("simulated_bench.yaml")
# After these shares of the readings the cable is pulled, and after this share of them plugged in again.
CUTS, LASTS = (0.25, 0.625), 0.2


def main() -> int:
    """Take the readings and say what became of them."""
    given = _arguments()
    with _logbook(is_cut=given.cut) as (logbook, cable):
        keys = [one.key for one in _readings(given, logbook, cable)]
        logbook.flush(given.wait)
        ends = [logbook.look_up(key) for key in keys]
    with Logbook() as direct:
        listed = [row["key"] for row in direct.readings(given.project, given.board, given.target)]
    sent = sum(one.status == "sent" for one in ends)
    print(f"{sent} of {len(ends)} sent, {sum(one.verdict == 'pass' for one in ends)} pass")
    stored = [key for key in listed if key in keys]
    word = "each once, in order" if stored == keys else "NOT each once, in order"
    print(f"the site lists {len(stored)} of them: {word}")
    return 0 if stored == keys and sent == len(keys) else 1


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Record readings of a simulated meter.")
    parser.add_argument("project", help="slug of the project")
    parser.add_argument("board", help="serial of the board")
    parser.add_argument("target", help="key of a target asking for about 3.3 V")
    parser.add_argument("--meter", default="", help="name of the meter on the site; none when left out")
    parser.add_argument("--count", type=int, default=40, help="how many readings; usually 40")
    parser.add_argument("--pause", type=float, default=0.0, metavar="SECONDS", help="between two readings")
    parser.add_argument(
        "--wait", type=float, default=60.0, metavar="SECONDS", help="for the site, at the end"
    )
    parser.add_argument("--cut", action="store_true", help="cut the network twice in between")
    return parser.parse_args()


@contextmanager
def _logbook(*, is_cut: bool) -> Iterator[tuple[Logbook, Cable | None]]:
    """Give a logbook, and where it is to be cut the cable it goes over, with a spool of its own."""
    if not is_cut:
        with Logbook(patience_s=0.5) as logbook:
            yield logbook, None
        return
    cable = Cable(os.environ.get("LOGBOOK_URL", ""))
    with tempfile.TemporaryDirectory() as folder:
        spool = Path(folder) / "spool.sqlite3"
        with Logbook(cable.address, spool=spool, patience_s=0.5) as logbook:
            yield logbook, cable
    cable.close()


def _readings(given: argparse.Namespace, logbook: Logbook, cable: Cable | None) -> list[Recorded]:
    """Take the readings in a bench session, the cable pulled in between."""
    pulled = [round(given.count * share) for share in CUTS]
    plugged_in = [number + round(given.count * LASTS) for number in pulled]
    names = [given.meter] if given.meter else []
    taken = []
    with (
        Instrument(given.meter, "TCPIP::meter::INSTR", library=f"{BENCH}@sim") as meter,
        logbook.session(
            given.project, given.board, "Forty readings", instruments=names, ambient_c=23.0
        ) as bench,
    ):
        for number in range(1, given.count + 1):
            if cable and number in pulled:
                logbook.flush(given.wait)
                print("-- the cable is pulled", flush=True)
                # In the middle of the reading that follows.
                threading.Timer(0.01, cable.pull).start()
            if cable and number in plugged_in:
                cable.plug_in()
                print("-- the cable is plugged in", flush=True)
            recorded = bench.measure(
                given.target, "V", meter, expanded_uncertainty="0.004", note=f"reading {number}"
            )
            taken.append(recorded)
            print(f"{number}: {recorded}", flush=True)
            time.sleep(given.pause)
    return taken


if __name__ == "__main__":
    sys.exit(main())
