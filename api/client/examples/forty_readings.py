"""Forty readings of a simulated meter, with a network that may come and go: none lost, none doubled.

    pip install pyvisa pyvisa-sim
    LOGBOOK_URL=http://127.0.0.1:8000 LOGBOOK_TOKEN=… \\
        python forty_readings.py saltlark 0006 RLD-2 --meter DMM-1

Pull the cable while it runs: readings go on being kept, and are sent when it is plugged in again. Ends with 0
once the site has taken all forty.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from board_logbook_client import Instrument, Logbook

BENCH = Path(__file__).with_name("simulated_bench.yaml")


def main() -> int:
    """Take the readings and say what became of them."""
    parser = argparse.ArgumentParser(description="Record readings of a simulated meter.")
    parser.add_argument("project")
    parser.add_argument("board")
    parser.add_argument("target")
    parser.add_argument("--meter", default="", help="name of the meter on the site; none when left out")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--pause", type=float, default=0.0, metavar="SECONDS", help="between two readings")
    parser.add_argument(
        "--wait", type=float, default=60.0, metavar="SECONDS", help="for the site, at the end"
    )
    given = parser.parse_args()

    names = [given.meter] if given.meter else []
    with (
        Logbook(patience_s=0.5) as logbook,
        Instrument(given.meter, "TCPIP::meter::INSTR", library=f"{BENCH}@sim") as meter,
    ):
        keys = []
        with logbook.session(
            given.project, given.board, "Forty readings", instruments=names, ambient_c=23.0
        ) as bench:
            for number in range(1, given.count + 1):
                recorded = bench.measure(
                    given.target, "V", meter, expanded_uncertainty="0.004", note=f"reading {number}"
                )
                keys.append(recorded.key)
                print(f"{number}: {recorded}", flush=True)
                time.sleep(given.pause)
        logbook.flush(given.wait)
        ends = [logbook.look_up(key) for key in keys]
    sent = sum(one.status == "sent" for one in ends)
    print(f"{sent} of {len(ends)} sent, {sum(one.verdict == 'pass' for one in ends)} pass")
    return 0 if sent == len(ends) else 1


if __name__ == "__main__":
    sys.exit(main())
