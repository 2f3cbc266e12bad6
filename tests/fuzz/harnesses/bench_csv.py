"""CSV files of readings, as the client of bench scripts takes them."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

from board_logbook_client.csv_file import COLUMNS, CsvError, readings_of

SEEDS = [
    b"board,target,value,unit,key\n0001,RLD-1,3.3,V,k1\n",
    b"board;target;value;unit;taken_at\r\n0001;RLD-1;3,3;V;2026-05-02T10:22:00Z\r\n",
    b'board\tvalue\trepeats\tkey\tnote\n0001\t\t"1, 2"\tk\t"two\nlines"\n',
    b"\xef\xbb\xbfboard,value,key,bench_session\n0001,1,k,12\n",
]
FILE = Path(tempfile.mkdtemp(prefix="logbook-fuzz-")) / "readings.csv"


def read(data: bytes) -> None:
    """Read the file; every row has a key, which the spool needs, and can be written as JSON."""
    FILE.write_bytes(data)
    try:
        rows = readings_of(FILE)
    except CsvError:
        return
    assert all(row["key"] and set(row) <= set(COLUMNS) for row in rows)
    json.dumps(rows, allow_nan=False)
