"""Instruments are read over SCPI through PyVISA; here a bench simulated by PyVISA-sim answers."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from decimal import Decimal
from pathlib import Path

import pytest
from board_logbook_client import Instrument, InstrumentError, Logbook

from tests.client.serving import ROOT, Served
from tests.client.wire import CUT_ANSWER, CUT_REQUEST, PASS, REFUSE, Wire

pytestmark = pytest.mark.xdist_group("client")
EXAMPLES = ROOT / "api" / "client" / "examples"
LIBRARY = f"{EXAMPLES / 'simulated_bench.yaml'}@sim"


def test_a_number_keeps_its_digits() -> None:
    with Instrument("DMM-1", "TCPIP::meter::INSTR", library=LIBRARY) as meter:
        assert meter.ask("*IDN?") == "INVENTED,BENCH METER,0001,1.0"
        assert str(meter.read()) == "3.29800000"


def test_overload_and_no_number_are_told_apart() -> None:
    # SCPI-99 volume 1, 7.2.1.4 and 7.2.1.5, from memory: 9.9E37 is infinity, 9.91E37 is not a number.
    with Instrument("DMM-2", "TCPIP::overloaded::INSTR", library=LIBRARY) as meter:
        assert meter.read("READ?") == Decimal("Infinity")
        assert meter.read("MEAS:RES?").is_nan()
        with pytest.raises(InstrumentError, match="'no reading', which is no number"):
            meter.read("FETC?")


def test_an_instrument_that_stays_silent_is_named() -> None:
    with (
        Instrument("DMM-1", "TCPIP::meter::INSTR", library=LIBRARY, timeout_ms=100) as meter,
        pytest.raises(InstrumentError, match=r"DMM-1 at TCPIP::meter::INSTR did not answer NONE\?"),
    ):
        meter.read("NONE?")


@pytest.mark.parametrize(
    ("resource", "library", "complaint"),
    [
        ("no address", LIBRARY, "no address cannot be opened"),
        ("TCPIP::meter::INSTR", "none.yaml@sim", "no VISA library"),
    ],
    ids=["address", "library"],
)
def test_what_cannot_be_opened_is_named(resource: str, library: str, complaint: str) -> None:
    with pytest.raises(InstrumentError, match=complaint):
        Instrument("DMM-9", resource, library=library)


def test_a_session_measures_and_records_in_one_step(logbook: Logbook) -> None:
    with (
        Instrument("DMM-1", "TCPIP::meter::INSTR", library=LIBRARY) as meter,
        logbook.session("tern", "0001", "measure", instruments=["DMM-1"]) as bench,
    ):
        recorded = bench.measure("RLD-1", "V", meter, expanded_uncertainty=0.004)
    assert recorded.answer is not None
    assert (recorded.verdict, recorded.answer["value"], recorded.answer["instrument"]) == (
        "pass",
        3.298,
        "DMM-1",
    )


def test_an_overload_is_no_reading(logbook: Logbook) -> None:
    with Instrument("DMM-1", "TCPIP::overloaded::INSTR", library=LIBRARY) as meter:
        bench = logbook.session("tern", "0001", "overload")
        with pytest.raises(InstrumentError, match="overload"):
            bench.measure("RLD-1", "V", meter)
    assert logbook.counts().waiting == 0


def test_without_pyvisa_it_says_how_to_get_it(tmp_path: Path) -> None:
    (tmp_path / "pyvisa.py").write_text("raise ImportError('not here')\n")
    script = "from board_logbook_client import Instrument\nInstrument('DMM-1', 'TCPIP::meter::INSTR')\n"
    environment = {"PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT / 'api' / 'client'}"}
    done = subprocess.run(
        [sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=False
    )
    assert "pip install pyvisa" in done.stderr


def test_forty_readings_over_a_cable_that_is_pulled_twice(site: Served) -> None:
    """As ``make forty`` runs it; what the site holds is counted here once more."""
    environment = os.environ | {
        "LOGBOOK_URL": site.address,
        "LOGBOOK_TOKEN": site.token,
        "PYTHONPATH": str(ROOT / "api" / "client"),
    }
    command = [sys.executable, str(EXAMPLES / "forty_readings.py"), "tern", "0002", "RLD-2", "--cut"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=120)
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert lines[-2:] == ["40 of 40 sent, 40 pass", "the site lists 40 of them: each once, in order"]
    assert lines.count("-- the cable is pulled") == lines.count("-- the cable is plugged in") == 2
    assert sum("waiting - kept on this computer" in line for line in lines) >= 8
    held = [one for one in site.readings("reading ") if (one["board"], one["target"]) == ("0002", "RLD-2")]
    assert [one["note"] for one in held] == [f"reading {number}" for number in range(1, 41)]


def test_forty_readings_over_a_network_that_is_cut_twice(wire: Wire, site: Served, tmp_path: Path) -> None:
    """The example as a person runs it; the wire is cut before and after the site has stored."""
    environment = os.environ | {
        "LOGBOOK_URL": wire.address,
        "LOGBOOK_TOKEN": site.token,
        "LOGBOOK_SPOOL": str(tmp_path / "spool.sqlite3"),
        "PYTHONPATH": str(ROOT / "api" / "client"),
    }
    command = [
        sys.executable,
        str(EXAMPLES / "forty_readings.py"),
        "tern",
        "0001",
        "RLD-2",
        "--meter",
        "DMM-1",
    ]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    lines = []
    for line in process.stdout:
        lines.append(line.strip())
        if line.startswith("10:"):
            wire.plan.extend([CUT_ANSWER, REFUSE, REFUSE])
        if line.startswith("25:"):
            wire.plan.append(CUT_REQUEST)
            wire.always = REFUSE
            threading.Timer(4, lambda: setattr(wire, "always", PASS)).start()
    process.stdout.close()
    assert process.wait(timeout=60) == 0
    assert lines[-2:] == ["40 of 40 sent, 40 pass", "the site lists 40 of them: each once, in order"]
    assert any("waiting - kept on this computer" in line for line in lines)
    stored = [one for one in site.readings("reading ") if one["board"] == "0001"]
    assert [one["note"] for one in stored] == [f"reading {number}" for number in range(1, 41)]
    assert len({one["key"] for one in stored}) == 40
    assert len({one["bench_session"] for one in stored} - {None}) == 1
