"""Every family of problems that is measured or compared, by name; a family and a seed give one problem."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from service.planning.packing import Problem
from tests.bench.hubs import HUBS, hub
from tests.bench.splice_points import branch, straight
from tests.planning.packing.cases import realistic

ASKED: dict[str, Callable[[int], Problem]] = {
    "straight": straight,
    "branch": branch,
    "mixed": partial(realistic, "mixed_slots"),
    "keep_apart": partial(realistic, "keep_apart"),
    "tight": partial(realistic, "tight"),
    "additions": partial(realistic, "addition"),
    "ordinary": partial(realistic, "ordinary"),
    "two_kinds": partial(realistic, "two_kinds"),
    "storage": partial(realistic, "storage"),
    "reserve": partial(realistic, "reserve"),
    "price": partial(realistic, "price"),
    "oversize": partial(realistic, "oversize"),
    "free": partial(realistic, "free"),
    "hub": partial(realistic, "hub"),
}
"""Splice points of up to 40 bundles, and hubs of 60."""

HUBS_BY_NAME: dict[str, Callable[[int], Problem]] = {
    name: lambda seed, of=of: hub(seed, *of) for name, of in HUBS.items()
}
"""Hubs of 288 splices that fill their trays to the last slot, by split rule, slot kinds and labels."""

EXTREME: dict[str, Callable[[int], Problem]] = {"extreme": partial(realistic, "extreme")}

FAMILIES = ASKED | HUBS_BY_NAME | EXTREME
ORDINARY = tuple(name for name in ASKED if name != "hub")
"""The families that the target for ordinary splice points is meant for."""


def problem_of(family: str, seed: int) -> Problem:
    """The problem of a family and a seed."""
    return FAMILIES[family](seed)
