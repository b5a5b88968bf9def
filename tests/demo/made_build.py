"""The demo's takeoff: four hundred splice points of Ferrowmouth, drawn by a seeded generator.

``python -m tests.demo.made_build`` writes ``demo/build.ndjson`` anew; a test compares. The benchmarks draw larger
builds from the same streets. Everything is invented. A build is mostly small work that comes again and again under
other names: drops from a passing feeder, terminals on poles; then joints and branches of ribbon cable, ring cuts,
tenants kept apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import orjson

BUILD = Path(__file__).resolve().parents[2] / "demo" / "build.ndjson"
POINTS = 400
SEED = 7

Document = dict[str, Any]

AREAS = {
    "harbour": ("Harl Slipway", "Quay Steps", "Netloft Row", "Tollen Row", "Brinecote Lane"),
    "old town": ("Vessimer Wynd", "Bellframe Court", "Ostrel Street", "Candle Yard", "Saltern Gate"),
    "valley": ("Ferrow Lane", "Orrick Kiln", "Skellard Road", "Mill Leat", "Harrowfold"),
    "heights": ("Thornlea Rise", "Upper Cairn", "Larkscar", "Windgate", "Quarry Brow"),
}
HANDHOLE = {"kind": "handhole", "length_mm": 900, "width_mm": 600, "depth_mm": 600}
SMALL_HANDHOLE = {"kind": "handhole", "length_mm": 760, "width_mm": 430, "depth_mm": 460}
VAULT = {"kind": "vault", "length_mm": 2000, "width_mm": 1300, "depth_mm": 2000}


def build(points: int = POINTS, seed: int = SEED, distinct: bool = False, standard: bool = False) -> Iterator[Document]:
    """So many splice points. ``distinct``: no two ask for the same, since the slack of each is its own.

    ``standard``: each names the closures that the owner's standard has for its kind; else any closure may be taken.
    """
    chance = Random(seed)
    houses: dict[str, int] = {}
    for place in range(points):
        area = chance.choice(sorted(AREAS))
        street = chance.choice(AREAS[area])
        kind = chance.choices(KINDS, WEIGHTS)[0]
        houses[street] = houses.get(street, 0) + chance.randint(1, 3)
        document = kind(chance)
        slack_m = round(5 + place / 10_000, 4) if distinct else chance.randint(8, 20)
        document["cables"][0]["slack_m"] = slack_m
        if standard:
            document["closures"] = list(STANDARD[kind])
        what = document.pop("what")
        tags = {"area": area, "phase": str(chance.choice((1, 1, 2)))}
        yield {"name": f"{street} {houses[street]}, {what}", "tags": tags, **document}


def _crew(window_h: float, hands: int = 1) -> Document:
    return {"technicians": hands, "splicers": 1, "heaters": 1, "window_h": window_h}


def _cable(tag: str, cable: str, slack_m: float, express: bool = False) -> Document:
    return {"tag": tag, "cable": cable, "slack_m": slack_m} | ({"express": True} if express else {})


def _joint(one: str, these: str, other: str, those: str, by: str, apart: str | None = None) -> Document:
    joint: Document = {"from": {"cable": one, by: these}, "to": {"cable": other, by: those}}
    return joint | ({"keep_apart": apart} if apart else {})


def _drops(chance: Random) -> Document:
    """A feeder that passes a handhole, and two to four houses on it."""
    houses = chance.choice((2, 2, 3, 4))
    feeder = chance.choice(("drop-12", "loose-12", "loose-48"))
    first = 1 + 2 * chance.randrange(3)
    drops = [f"D{n}" for n in range(1, houses + 1)]
    return {
        "what": f"handhole, {houses} drops",
        "cables": [_cable("F", feeder, 9, express=True), *(_cable(drop, "drop-2", 6) for drop in drops)],
        "joints": [
            _joint("F", f"{first + 2 * n}-{first + 2 * n + 1}", drop, "1-2", "fibres")
            for n, drop in enumerate(drops)
            if first + 2 * n < 12
        ],
        "rules": {"reach_mm": 700, "remakes": 1},
        "crew": _crew(3),
        "site": SMALL_HANDHOLE,
    }


def _terminal(chance: Random) -> Document:
    """A terminal on a pole for four to eight houses."""
    houses = chance.choice((4, 6, 8))
    feeder = chance.choice(("loose-48", "loose-96"))
    first = 1 + 12 * chance.randrange(3)
    drops = [f"D{n}" for n in range(1, houses + 1)]
    return {
        "what": f"terminal on a pole, {houses} drops",
        "cables": [_cable("F", feeder, 20, express=True), *(_cable(drop, "drop-2", 10) for drop in drops)],
        "joints": [_joint("F", str(first + n), drop, "1", "fibres") for n, drop in enumerate(drops)],
        "rules": {"reserve": {"percent": 25}},
        "crew": _crew(4),
    }


def _straight(chance: Random) -> Document:
    """Two lengths of ribbon cable joined end to end."""
    one, other, ribbons = chance.choice(
        (
            ("flat-72", "flat-72", 6),
            ("flat-144-arm", "roll-144", 12),
            ("roll-144", "roll-144", 12),
            ("flat-288", "roll-288", 24),
        )
    )
    return {
        "what": f"straight joint, {ribbons} ribbons",
        "cables": [_cable("A", one, 15), _cable("B", other, 15)],
        "joints": [_joint("A", f"1-{ribbons}", "B", f"1-{ribbons}", "ribbons")],
        "rules": {"reserve": {"percent": chance.choice((0, 20))}},
        "crew": _crew(5, 2),
        "site": HANDHOLE,
    }


def _branch(chance: Random) -> Document:
    """A feeder that parts into two."""
    left = chance.choice((6, 8, 12))
    return {
        "what": "branch of three",
        "cables": [_cable("A", "flat-288", 30), _cable("B", "roll-288", 30), _cable("C", "roll-144", 15)],
        "joints": [
            _joint("A", f"1-{24 - left}", "B", f"1-{24 - left}", "ribbons"),
            _joint("A", f"{25 - left}-24", "C", f"1-{left}", "ribbons"),
        ],
        "rules": {"reserve": {"percent": 20, "in": "stack"}},
        "crew": _crew(8, 2),
        "site": VAULT,
    }


def _ring(chance: Random) -> Document:
    """A ring that is cut for a spur, its other tubes passing through."""
    tubes = chance.choice((1, 2))
    first = 1 + 12 * chance.randrange(3)
    return {
        "what": "ring cut",
        "cables": [_cable("R", "roll-432", 20, express=True), _cable("S", "roll-144", 15)],
        "joints": [_joint("R", f"{first}-{first + 6 * tubes - 1}", "S", f"1-{6 * tubes}", "ribbons")],
        "crew": _crew(6, 2),
        "site": VAULT,
    }


def _tenants(chance: Random) -> Document:
    """A feeder that goes on, and two tenants who share no tray."""
    fibres = chance.choice((8, 12, 24))
    ribbons = -(-fibres // 12)
    return {
        "what": "two tenants",
        "cables": [
            *(_cable(tag, "flat-288", 15) for tag in ("F", "B")),
            *(_cable(tag, "drop-24", 10) for tag in ("T", "U")),
        ],
        "joints": [
            _joint("F", "1-20", "B", "1-20", "ribbons"),
            _joint("F", f"241-{240 + fibres}", "T", f"1-{fibres}", "fibres", "tenant T"),
            _joint("F", f"265-{264 + fibres}", "U", f"1-{fibres}", "fibres", "tenant U"),
        ],
        "rules": {"reserve": {"percent": 10 * ribbons}},
        "crew": _crew(8, 2),
        "site": HANDHOLE,
    }


KINDS = (_drops, _terminal, _straight, _branch, _ring, _tenants)
WEIGHTS = (45, 22, 13, 9, 8, 3)
STANDARD = {
    _drops: ("hand-2", "terminal-8"),
    _terminal: ("terminal-8",),
    _straight: ("dome-12", "dome-48"),
    _branch: ("dome-48",),
    _ring: ("dome-24",),
    _tenants: ("dome-48", "dome-72"),
}


def written(points: Iterator[Document]) -> Iterator[bytes]:
    """The splice points as lines."""
    return (orjson.dumps(point) + b"\n" for point in points)


def main() -> None:
    """Write the demo's build."""
    BUILD.write_bytes(b"".join(written(build())))


if __name__ == "__main__":
    main()
