"""Where the demo's files lie."""

from __future__ import annotations

from pathlib import Path

DEMO = Path(__file__).parents[2] / "demo"
CATALOGUE = (DEMO / "catalogue.json").read_bytes()
POINTS = (DEMO / "splice-points.ndjson").read_bytes().splitlines()
