"""Bending by fibre category: the standard's table of added loss, and the radius down to which we store fibre.

The two are not to be mixed up. The table is a mandrel test: so many turns at a radius add so much loss at most. The
storage radius is a policy for fibre that stays bent for decades; it is larger than the smallest radius of the table.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from service.standards.provenance import Source


@dataclass(frozen=True, slots=True)
class MacrobendRow:
    """So many turns at a radius add at most so many dB at 1550 and 1625 nm; None: the standard names no limit."""

    radius_mm: Decimal
    turns: int
    db_1550: Decimal | None
    db_1625: Decimal | None
    source: Source


_G652 = Source("G.652: 100 turns at 30 mm, as restated in public training text", "secondary")
_G657 = Source("G.657 macrobending table, as restated in public training text", "secondary")
_MEMORY = Source("macrobending clause of the Recommendation, from memory", "memory")


def _row(radius: str, turns: int, db_1550: str | None, db_1625: str | None, source: Source) -> MacrobendRow:
    return MacrobendRow(
        Decimal(radius),
        turns,
        None if db_1550 is None else Decimal(db_1550),
        None if db_1625 is None else Decimal(db_1625),
        source,
    )


_A2 = (
    _row("15", 10, "0.03", "0.1", _G657),
    _row("10", 1, "0.1", "0.2", _G657),
    _row("7.5", 1, "0.5", "1.0", _G657),
)

MACROBEND: Mapping[str, tuple[MacrobendRow, ...]] = MappingProxyType(
    {
        "G.652.B": (_row("30", 100, None, "0.1", _MEMORY),),
        # 1550 nm is not always named for G.652.D; the loss there is no greater than at 1625 nm, so its limit holds too.
        "G.652.D": (_row("30", 100, "0.1", "0.1", _G652),),
        "G.654.E": (_row("30", 100, None, "0.1", _MEMORY),),
        "G.655.C": (_row("30", 100, None, "0.5", _MEMORY),),
        "G.655.D": (_row("30", 100, None, "0.5", _MEMORY),),
        "G.655.E": (_row("30", 100, None, "0.5", _MEMORY),),
        "G.657.A1": (
            _row("15", 10, "0.25", "1.0", _G657),
            _row("10", 1, "0.75", "1.5", _G657),
        ),
        "G.657.A2": _A2,
        "G.657.B2": _A2,
        "G.657.B3": (
            _row("10", 1, "0.03", "0.1", _G657),
            _row("7.5", 1, "0.08", "0.25", _G657),
            _row("5", 1, "0.15", "0.45", _MEMORY),
        ),
    }
)
"""Rows by category, largest radius first. A category that is not named has no table."""

STORAGE_RADIUS_UNKNOWN_MM = 30.0
"""The radius for a category that the policy does not name."""

STORAGE_RADIUS_MM: Mapping[str, float] = MappingProxyType(
    {
        "G.652.D": 30.0,
        "G.657.A1": 20.0,
        "G.657.A2": 15.0,
        "G.657.B2": 15.0,
        "G.657.B3": 15.0,
    }
)
"""The shipped storage policy; a request may set its own radius for a category."""

STORAGE_SOURCE = Source("rule of the trade for 20 to 30 years' life, short stored lengths; from memory", "memory")


def rows(category: str) -> tuple[MacrobendRow, ...]:
    """The table's rows for a category, largest radius first; empty where there is no table."""
    return MACROBEND.get(category, ())
