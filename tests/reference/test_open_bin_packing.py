"""The core against open bin packing data with known optima (Falkenauer; Scholl, Klein and Juergens; Schwerin).

The data are measured against where they lie; they are not part of this project and the test is skipped without them.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from service.planning.packing import Item, Problem, TrayKind, solve

SHARED = Path(
    os.environ.get("TRAYWRIGHT_SHARED_DATA") or Path(__file__).resolve().parents[2] / ".." / "shared" / "data"
)
FOLDER = SHARED / "bin-packing"
EVERY = {"falkenauer_u": 20, "falkenauer_t": 27, "scholl_1": 24, "schwerin_1": 34, "hard28": 14}


@pytest.mark.parametrize("family", EVERY)
def test_no_answer_differs_from_a_known_optimum(family: str) -> None:
    """Bounds enclose the known optimum; an answer that claims to be optimal equals it."""
    path = FOLDER / f"{family}.jsonl"
    if not path.exists():
        pytest.skip("the open bin packing data are not at hand (set TRAYWRIGHT_SHARED_DATA)")
    lines = path.read_text().splitlines()[:: EVERY[family]]
    proven = seen = 0
    for line in lines:
        data = json.loads(line)
        if data["n"] > 250:
            continue
        items = tuple(Item(0, size, (0,)) for size, times in data["wd"] for _ in range(times))
        kind = TrayKind(pitch=1, most=len(items), banks=((data["c"],),))
        packing = solve(Problem(1, (kind,), len(items), items, split="never"), node_limit=3_000)
        assert packing.fits and packing.bounds is not None
        assert packing.bounds.cost_bound <= data["opt"] <= packing.bounds.cost, data["name"]
        seen += 1
        proven += packing.bounds.optimal
        if packing.bounds.optimal:
            assert packing.bounds.cost == data["opt"], data["name"]
    assert seen > 0
    print(f"{family}: {proven} of {seen} proven")
