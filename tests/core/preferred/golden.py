"""The outside check values of preferred values and part markings."""

import json
from pathlib import Path
from typing import Any

FIXTURE = Path(__file__).parents[3] / "fixtures" / "golden" / "preferred.json"
ENTRIES: dict[str, dict[str, Any]] = {entry["id"]: entry for entry in json.loads(FIXTURE.read_text("utf-8"))}
