"""What the stories of all clients are told with: the demo's catalogue and splice points, and a request with a fault."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

from tests.api.hung import DROP

__all__ = ["CATALOGUE", "DROP", "FERROW", "MEASURED", "POINTS", "faulty"]

DEMO = Path(__file__).parents[2] / "demo"
CATALOGUE: dict[str, Any] = json.loads((DEMO / "catalogue.json").read_text("utf-8"))
POINTS: list[dict[str, Any]] = [
    json.loads(line) for line in (DEMO / "splice-points.ndjson").read_text("utf-8").splitlines()
]
FERROW: dict[str, Any] = POINTS[8]
"""A splice point that fits."""
MEASURED: dict[str, Any] = {
    "by": "Crew 2",
    "on": "2026-03-12",
    "limits": {"preset": "ribbon-average"},
    "records": [
        {
            "splice": 1,
            "remakes": 0,
            "losses": [
                {"fibre": 1, "loss_db": 0.04, "wavelength_nm": 1550, "direction": "a_to_b"},
                {"fibre": 1, "loss_db": -0.01, "wavelength_nm": 1550, "direction": "b_to_a"},
            ],
        },
        {
            "splice": 2,
            "remakes": 1,
            "remakes_after_shrinking": 0,
            "losses": [{"fibre": 1, "loss_db": 0.02, "kind": "estimated"}],
        },
    ],
}
"""What two of its splices measured, one of them made again."""


def faulty() -> tuple[dict[str, Any], list[str]]:
    """The same with two faults, and the pointers to them: a ribbon that the cable has not, and a code nobody knows."""
    request = deepcopy(FERROW)
    request["joints"][0]["from"] = {"cable": request["joints"][0]["from"]["cable"], "ribbons": "998-999"}
    request["cables"].append({"tag": "Z", "cable": "nobody-knows"})
    last = len(request["cables"]) - 1
    return request, [f"/cables/{last}/cable", "/joints/0/from/ribbons"]
