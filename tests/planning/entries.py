"""Catalogue entries for the planning tests: plain ones, of which a test changes what it is about."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from service.domain.catalogue import Bank, Cable, Closure, Method, Port, Sleeve, Tray
from service.domain.request import CableAtPoint

_CABLE = Cable(
    code="flat-288",
    title="Flat ribbon cable",
    od_mm=20.0,
    fibres=288,
    ribbon_fibres=12,
    ribbons_per_tube=6,
    ribbon_form="flat",
    pitch_um=250,
    fibre="G.652.D",
)
_CLOSURE = Closure(code="dome-48", title="Dome", form="dome", stack_mm=100.0, trays=(), ports=(), lead_mm=800.0)
_TRAY = Tray(
    code="r6",
    title="Ribbon tray",
    pitch_mm=12.0,
    banks=(Bank(1, {"ribbon-12": 6}),),
    turn_mm=400.0,
    bend_radius_mm=30.0,
)
_SLEEVE = Sleeve(
    code="rs-12", title="Ribbon sleeve", form="ribbon", fibres=12, length_mm=40.0, slot_kind="ribbon-12", pack_of=10
)
_METHOD = Method(code="flat-12", title="Flat ribbon of 12", ribbon_form="flat", fibres=12)


def cable(**changes: Any) -> Cable:
    """A flat-ribbon cable of 288 with what the test changes."""
    return replace(_CABLE, **changes)


def closure(**changes: Any) -> Closure:
    """A dome closure with what the test changes."""
    return replace(_CLOSURE, **changes)


def tray(**changes: Any) -> Tray:
    """A tray of six ribbon slots with what the test changes."""
    return replace(_TRAY, **changes)


def sleeve(**changes: Any) -> Sleeve:
    """A ribbon sleeve of 12 with what the test changes."""
    return replace(_SLEEVE, **changes)


def method(**changes: Any) -> Method:
    """A bare method for flat ribbons of 12 with what the test changes."""
    return replace(_METHOD, **changes)


def port(name: str, count: int, od_min_mm: float, od_max_mm: float, cables: int = 1) -> Port:
    """A port model."""
    return Port(name, count, od_min_mm, od_max_mm, cables)


def at_point(tag: str, od_mm: float = 20.0, *, express: bool = False, **changes: Any) -> tuple[CableAtPoint, Cable]:
    """A cable of a diameter at the splice point, under a tag."""
    slack_m = changes.pop("slack_m", None)
    model = cable(code=f"cable-{tag}", od_mm=od_mm, **changes)
    return CableAtPoint(tag, model.code, slack_m=slack_m, express=express), model
