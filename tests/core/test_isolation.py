"""The core must import where no web framework is installed."""

import subprocess
import sys
from pathlib import Path

PROGRAM = """
import importlib, importlib.abc, pkgutil, sys

BLOCKED = {"django", "rest_framework", "celery", "PIL", "markdown_it"}

class Wall(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in BLOCKED:
            raise ImportError(f"the core reached for {name}")
        return None

sys.meta_path.insert(0, Wall())
try:
    importlib.import_module("django")
except ImportError:
    pass
else:
    sys.exit("the wall lets Django through")

import logbook.core

def stop(name):
    raise ImportError(f"{name} does not import")

walk = pkgutil.walk_packages(logbook.core.__path__, "logbook.core.", onerror=stop)
found = [module.name for module in walk]
for name in found:
    importlib.import_module(name)
print(*found)
"""


def test_the_core_imports_while_the_frameworks_are_blocked() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert {"logbook.core.errors", "logbook.core.quantities.units", "logbook.core.limits"} <= set(
        ran.stdout.split()
    )
