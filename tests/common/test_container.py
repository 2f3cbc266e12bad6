"""What the container file copies is enough to run the site: its commands, in a folder with nothing else.

No container is built; the packages are those of this environment. The folder is not written to, as in the
compose file (``read_only``).
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[2]
CONTAINERFILE = (ROOT / "deploy" / "Containerfile").read_text()
COMPOSE = yaml.safe_load((ROOT / "deploy" / "compose.yaml").read_text())
SITE_NAME = "logbook.example"

pytestmark = [pytest.mark.xdist_group("container"), pytest.mark.timeout(300)]


@pytest.fixture(scope="module")
def image(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with what the container file copies, and nothing else."""
    folder = tmp_path_factory.mktemp("image")
    for line in re.findall(r"^COPY (.+)$", CONTAINERFILE, re.MULTILINE):
        *sources, target = line.split()
        for source in sources:
            into = folder / target / Path(source).name if target.endswith("/") else folder / target
            into.parent.mkdir(parents=True, exist_ok=True)
            if (ROOT / source).is_dir():
                shutil.copytree(ROOT / source, into, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy(ROOT / source, into)
    return folder


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return what the container file and the compose file set, with SQLite and without a broker."""
    data = tmp_path_factory.mktemp("data")
    named = COMPOSE["x-site"]["environment"]
    given = {
        "SITE_NAME": SITE_NAME,
        "LOGBOOK_SECRET_KEY": "k" * 40,
        "LOGBOOK_METRICS_TOKEN": "m" * 20,
    }
    filled = {
        name: re.sub(r"\$\{(\w+):\?\}", lambda found: given.get(found[1], ""), value)
        for name, value in named.items()
        if name not in {"DATABASE_URL", "CELERY_BROKER_URL"}
    }
    section = CONTAINERFILE.split("\nENV ")[1].split("\nUSER")[0]
    fixed = dict(re.findall(r"(\w+)=(\S+)", section))
    paths = {"LOGBOOK_DATA": str(data), "PROMETHEUS_MULTIPROC_DIR": str(data / "counts")}
    usual = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return usual | {"PYTHONDONTWRITEBYTECODE": "1"} | fixed | filled | paths


def run(image: Path, environment: dict[str, str], line: str) -> None:
    words = [sys.executable if word == "python" else word for word in line.split()]
    done = subprocess.run(
        words, cwd=image, env=environment, capture_output=True, text=True, timeout=240, check=False
    )
    assert done.returncode == 0, done.stderr


@contextlib.contextmanager
def served(image: Path, environment: dict[str, str]) -> Iterator[int]:
    """Serve as the container does, on a port of this machine."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    (line,) = re.findall(r"^CMD (\[\"gunicorn\".*\])$", CONTAINERFILE, re.MULTILINE)
    words = [word.replace("0.0.0.0:8000", f"127.0.0.1:{port}") for word in yaml.safe_load(line)]
    process = subprocess.Popen(
        [sys.executable, "-m", *words], cwd=image, env=environment, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        yield port
    finally:
        process.terminate()
        process.wait(60)


def files_in(folder: Path) -> set[str]:
    return {one.relative_to(folder).as_posix() for one in folder.rglob("*")}


def test_the_site_runs_with_what_is_copied_and_writes_only_its_data(
    image: Path, environment: dict[str, str]
) -> None:
    before = files_in(image)
    for line in COMPOSE["services"]["migrate"]["command"][-1].split(" && "):
        run(image, environment, line)
    run(image, environment, "python manage.py run_jobs")
    run(image, environment, "python manage.py check --deploy")
    looks = re.search(r"u\.urlopen\('(http://localhost):8000(/\S+?)'", CONTAINERFILE)
    assert looks is not None
    with served(image, environment) as port:
        for _ in range(600):
            with contextlib.suppress(OSError):
                with urllib.request.urlopen(f"{looks[1]}:{port}{looks[2]}", timeout=30) as answer:
                    assert answer.status == 200
                break
            time.sleep(0.1)
        else:
            raise AssertionError("the site did not come up")
        headers = {"Host": SITE_NAME, "X-Forwarded-Proto": "https"}
        request = urllib.request.Request(f"http://127.0.0.1:{port}/sign-in/", headers=headers)
        with urllib.request.urlopen(request, timeout=60) as answer:
            page = answer.read().decode()
    sheet = re.search(r'href="(/static/[^"]+\.css)"', page)
    assert sheet is not None
    assert (Path(environment["LOGBOOK_DATA"]) / sheet[1].lstrip("/")).is_file()
    assert files_in(image) == before
