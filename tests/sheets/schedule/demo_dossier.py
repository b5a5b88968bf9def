"""The demo's splice points as dossiers, to draw sheets from."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from service.cli.answers import answered
from service.documents.catalogue import catalogue_from
from service.domain.catalogue import Catalogue
from service.domain.dossier import Dossier

_DEMO = Path(__file__).parents[3] / "demo"
CREATED = datetime(2026, 3, 9, 8, 30, tzinfo=UTC)
POINTS = (_DEMO / "splice-points.ndjson").read_text().splitlines()


@cache
def demo_catalogue() -> Catalogue:
    """The demo's catalogue."""
    return catalogue_from(json.loads((_DEMO / "catalogue.json").read_text()))


@cache
def demo_dossier(point: int, link: str | None = None) -> Dossier:
    """The dossier of a demo splice point, counted from 0, as if it had been planned and stored."""
    made = answered(POINTS[point].encode(), demo_catalogue())
    return Dossier(f"{point:032x}", CREATED, made.plan, made.request, demo_catalogue(), link)


def points_that(fit: bool) -> list[int]:
    """The demo's splice points that fit, or those that do not."""
    return [point for point in range(len(POINTS)) if demo_dossier(point).plan.fits is fit]
