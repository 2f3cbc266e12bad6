"""Files made to keep a reader busy are read or refused in a moment and in little memory.

Each runs in a process of its own that the operating system ends at a limit of processor time and of memory
(setrlimit, POSIX.1-2017), far above what is needed and far below what such a file once took.
"""

from __future__ import annotations

import subprocess
import sys

import pytest

CPU_S = 30
MEGABYTES = 1500
MADE = {
    "marks that are no decimals": ("waveforms", "b'x;1,x\\n' + b'a.b;1\\n' * 700_000 + b'1;2\\n2;3\\n'"),
    "blanks before a mark": ("waveforms", "b' ' * 3_000_000 + b'x1.5x;2\\n1;2\\n2;3\\nx,y;\\n1;2\\n'"),
    "a setting of underscores": (
        "waveforms",
        "(b'sampl' + b'_' * 19_000 + b'\\n') * 260 + b't,v\\n1,2\\n2,3'",
    ),
    "digits that are no number": ("waveforms", "(b'1' * 19_000 + b'x\\n') * 260 + b't,v\\n1,2\\n2,3\\n'"),
    "blanks between designators": (
        "parts_list",
        "b'Ref,Value\\n' + (b'R1' + b' ' * 19_900 + b'R2,\\n') * 250",
    ),
    "rows of one letter": ("parts_list", "b'Ref,Value\\n' + b'a\\n' * 2_400_000"),
    "a formula of brackets": ("formulas", "b'(' * 1_000_000"),
    "a text of digits": ("limits", "b'9' * 3_000_000"),
}
PROGRAM = """
import resource
resource.setrlimit(resource.RLIMIT_CPU, ({cpu}, {cpu}))
resource.setrlimit(resource.RLIMIT_AS, ({memory}, {memory}))
from tests.fuzz.harnesses import {name}
{name}.read({data})
"""


@pytest.mark.parametrize(("name", "data"), MADE.values(), ids=MADE)
def test_a_reader_is_not_kept_busy(name: str, data: str) -> None:
    program = PROGRAM.format(cpu=CPU_S, memory=MEGABYTES * 2**20, name=name, data=data)
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-500:]
