"""Builds for the choice of closure kinds, all invented: as the trade has them, and without any order in the prices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from random import Random

from service.domain.catalogue import Closure
from service.planning.closure_kinds import Offer, PointClass
from tests.planning.entries import closure

Prices = Iterable[int | None]


def point_class(points: int, prices: Prices) -> PointClass:
    """So many points with one price in cents a model (None: it does not fit), models being ``m00``, ``m01`` ..."""
    offers = tuple(
        Offer(f"m{place:02}", 1, Decimal(cents).scaleb(-2), "EUR")
        for place, cents in enumerate(prices)
        if cents is not None
    )
    return PointClass(points, offers)


def models(number: int, **changes: object) -> Mapping[str, Closure]:
    """So many closure models that differ in nothing but their code."""
    return {f"m{place:02}": replace(closure(), code=f"m{place:02}", **changes) for place in range(number)}


def disordered(classes: int, number: int, seed: int, fits: float = 0.8) -> list[PointClass]:
    """Prices drawn without any order: the hardest to prove, and nothing that a catalogue looks like."""
    random = Random(seed)
    return [
        point_class(
            random.randint(1, 160),
            [random.randint(1_000, 100_000) if random.random() < fits else None for _ in range(number)],
        )
        for _ in range(classes)
    ]


def orderly(classes: int, number: int, seed: int, points: int = 10_000) -> list[PointClass]:
    """A build as the trade has it: closures of growing capacity and price, trays by need, some with many cables."""
    random = Random(seed)
    holds = sorted(random.randint(24, 1_200) for _ in range(number))
    prices = [int(4_000 + held * random.uniform(20, 45)) for held in holds]
    trays = [(random.choice((12, 24, 36, 48, 72)), random.randint(800, 2_600)) for _ in range(number)]
    ports = [random.randint(2, 10) for _ in range(number)]
    build = []
    for _ in range(classes):
        splices = int(random.lognormvariate(4.3, 1)) + 1
        cables = random.randint(2, 5) + 3 * (random.random() < 0.1)
        row = [
            prices[each] + trays[each][1] * -(-splices // trays[each][0])
            if holds[each] >= splices and ports[each] >= cables
            else None
            for each in range(number)
        ]
        build.append(point_class(random.randint(1, max(1, 2 * points // classes)), row))
    return build
