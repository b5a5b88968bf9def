"""Hung closures for tests of the store: made up, and of no catalogue; one tray of twelve slots, a splice a slot."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from service.domain.installation import (
    Contents,
    HungBank,
    HungCable,
    HungTray,
    Installation,
    LaidSplice,
    Place,
    Visit,
)
from service.domain.plan import ParkedEnds
from service.domain.splices import RibbonEnd
from service.planning.visiting import visit_between
from service.store import Change

START = datetime(2026, 3, 9, 8, 0, tzinfo=UTC)
_numbers = itertools.count(1)


def an_id() -> str:
    """An id that no other has."""
    return f"{next(_numbers):032x}"


def splice(number: int, position: int = 1, visit: int = 1) -> LaidSplice:
    """A splice of ribbon ``number`` of A to that of B, in the slot of its number."""
    return LaidSplice(
        number, position, 1, number, RibbonEnd("A", number), RibbonEnd("B", number, end="out"), 12, "rs-12", visit,
        storage_mm2=(1.25, 0.1),
    )  # fmt: skip


def contents(splices: int = 3) -> Contents:
    """Two cables, one of them express, and a tray with so many splices and a parked end."""
    return Contents(
        closure="dome-48",
        cables=(
            HungCable("A", "flat-288", False, ("oval-1",), ((1, 24), (37, 48)), 1, 15.0),
            HungCable("B", "roll-288", True, ("oval-1", "round-2"), (), 1, window_mm=1234.5),
        ),
        trays=(
            HungTray(
                1, "ribbon-12", (HungBank(1, "ribbon-12", 12, (12,)),), "lease", 118.123456789, 260.0, 7,
                (ParkedEnds("A", 1, 2, 0, 3.3),), 1,
            ),
        ),
        splices=tuple(splice(number) for number in range(1, splices + 1)),
        splices_laid=splices,
        visits=1,
    )  # fmt: skip


def hung(plan: str | None = None, **members: Any) -> tuple[Installation, Visit]:
    """A hung closure with its first visit; keywords replace members, those of the place among them."""
    created = members.pop("created", START + timedelta(seconds=next(_numbers)))
    inside = members.pop("contents", contents())
    place = Place(**{"name": "Ferrow Lane, handhole 7", **members})
    installation = Installation(an_id(), created, 1, place, date(2026, 3, 9), inside)
    return installation, visit_between("hung", None, inside, date(2026, 3, 9), created, "Crew 3", "Lid stiff.", plan)


def one_more(before: Installation, by: str = "") -> Change:
    """One more splice, in the next free slot."""
    inside = before.contents
    number = inside.visits + 1
    laid = splice(inside.splices_laid + 1, visit=number)
    after = replace(inside, splices=(*inside.splices, laid), splices_laid=laid.number, visits=number)
    visit = visit_between("added", inside, after, date(2026, 5, 4), START + timedelta(days=number), by)
    return Change(before, replace(before, revision=before.revision + 1, contents=after), visit)
