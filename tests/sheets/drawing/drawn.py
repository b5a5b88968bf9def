"""Dossiers to draw: the demo's splice points, a small plan written by hand, and a large one."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from service.cli.answers import answered
from service.documents.catalogue import catalogue_from
from service.domain.catalogue import Catalogue, Closure, Port
from service.domain.dossier import Dossier
from service.domain.installation import LaidSplice
from service.domain.plan import BankUse, PlannedTray
from service.domain.splices import RibbonEnd
from tests.sheets.small_plan import CATALOGUE, FITTING, REFUSED, REQUEST, ribbon_splice

_DEMO = Path(__file__).parents[3] / "demo"
CREATED = datetime(2026, 3, 9, 8, 30, tzinfo=UTC)
POINTS = (_DEMO / "splice-points.ndjson").read_text().splitlines()
_PORTS = (Port("oval", 1, 10, 22, 2), Port("round", 4, 5, 18, 1))


@cache
def demo_catalogue() -> Catalogue:
    """The demo's catalogue."""
    return catalogue_from(json.loads((_DEMO / "catalogue.json").read_text()))


@cache
def demo(point: int) -> Dossier:
    """The dossier of a demo splice point, counted from 0."""
    made = answered(POINTS[point].encode(), demo_catalogue())
    return Dossier(f"{point:032x}", CREATED, made.plan, made.request, demo_catalogue())


def small(fits: bool = True) -> Dossier:
    """The small plan written by hand, its closure with ports; or the one that does not fit."""
    dome = Closure("dome", "Small dome", "dome", 30, (), _PORTS, 450)
    catalogue = replace(CATALOGUE, closures={"dome": dome})
    return Dossier("5" * 32, CREATED, FITTING if fits else REFUSED, REQUEST, catalogue)


def visited() -> Dossier:
    """A closure that hangs: ribbons 1-2 lie in slots 1-2, slot 3 is taken by something else, 4 and 5 are new."""
    old = tuple(
        LaidSplice(number, 1, 1, number, RibbonEnd("A", number), RibbonEnd("B", number), 12, "rs", 1)
        for number in (1, 2)
    )
    new = (ribbon_splice(4, 4), ribbon_splice(5, 5))
    tray = PlannedTray(1, "mix", False, (BankUse(1, "ribbon", 6, 5),), new, (), None, 4, 58.0, 240.0)
    plan = replace(FITTING, splices=2, trays=(tray,), reserve=())
    return replace(small(), plan=plan, lying=old)


def large(splices: int) -> Dossier:
    """So many ribbon splices, 24 a tray in four banks, of a cable with 24 ribbons a tube."""
    dossier = small()
    wide = replace(CATALOGUE.cables["flat-96"], fibres=12 * splices, ribbons_per_tube=24)
    catalogue = replace(dossier.catalogue, cables={**CATALOGUE.cables, "flat-96": wide})
    trays = []
    for first in range(0, splices, 24):
        placed = tuple(
            ribbon_splice(place % 6 + 1, first + place + 1)._replace(bank=place // 6 + 1) for place in range(24)
        )
        banks = tuple(BankUse(bank, "ribbon", 6, 6) for bank in (1, 2, 3, 4))
        trays.append(PlannedTray(len(trays) + 1, "mix", True, banks, placed, (), None, 4, 58.0, 240.0))
    plan = replace(FITTING, splices=splices, trays=tuple(trays), reserve=())
    return replace(dossier, plan=plan, catalogue=catalogue)
