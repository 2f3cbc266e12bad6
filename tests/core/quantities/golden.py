"""The outside check values of quantities and letter codes."""

import json
from pathlib import Path
from typing import Any

FIXTURE = Path(__file__).parents[3] / "fixtures" / "golden" / "quantities.json"
ENTRIES: dict[str, dict[str, Any]] = {entry["id"]: entry for entry in json.loads(FIXTURE.read_text("utf-8"))}
KIND = {"R": "resistance", "C": "capacitance"}
